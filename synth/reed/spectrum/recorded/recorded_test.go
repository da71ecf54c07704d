package recorded

import (
	"math"
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

// Worked by hand from the definition.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		name string
		a, b []float64
		want float64
	}{
		{"the same", []float64{-3, -9}, []float64{-3, -9}, 0},
		{"one louder", []float64{-3, -9, 4}, []float64{2, -4, 9}, 0},
		{"two partials, 6 dB apart in tilt", []float64{0, 0}, []float64{3, -3}, 3},
		{"one partial of four off by 4: 4·√(3/16)", []float64{0, 0, 0, 0}, []float64{4, 0, 0, 0}, math.Sqrt(3)},
		{"below the floor is the floor", []float64{0, -60}, []float64{0, -130}, 0},
	} {
		require.InDelta(t, c.want, Distance(c.a, c.b), 1e-12, c.name)
		require.InDelta(t, c.want, Distance(c.b, c.a), 1e-12, c.name)
	}
	require.True(t, math.IsNaN(Distance([]float64{1}, []float64{1, 2})))
	require.True(t, math.IsNaN(Distance(nil, nil)))
}
