package synth

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestSidesHaveDitherOfTheirOwn: the least noise of the left is not that of the
// right.
func TestSidesHaveDitherOfTheirOwn(t *testing.T) {
	sc := tune()
	sc.Seconds = 0.5
	s, err := Prepare(sc, Settings{Rate: 22050, Depth: 16, Channels: 2, Split: true, Loudness: -20})
	require.NoError(t, err)
	differ := 0
	x := frames(t, s, 0, s.Frames())
	for i := 0; i < len(x); i += 2 {
		if x[i] != x[i+1] {
			differ++
		}
	}
	require.Greater(t, differ, len(x)/8)
}
