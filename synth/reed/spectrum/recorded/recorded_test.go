package recorded

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestReadNamesTheLineThatIsWrong(t *testing.T) {
	notes, err := Read(strings.NewReader("# heading\n\nA4 440 7 -1.5 2\n"))
	require.NoError(t, err)
	require.Equal(t, []Note{{Name: "A4", Hz: 440, Recording: "7", Levels: []float64{-1.5, 2}}}, notes)
	for _, bad := range []string{"A4 440 7", "A4 high 7 -1", "A4 440 7 loud"} {
		_, err := Read(strings.NewReader("# heading\n" + bad))
		require.ErrorContains(t, err, "line 2: ", bad)
	}
	_, err = Open("testdata/missing.txt")
	require.Error(t, err)
}
