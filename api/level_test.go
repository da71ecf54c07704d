package api

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOrdinaryTunesAreLeftAlone: on no page of tab does the gain curve touch so much
// as a hundredth of the frames at the usual settings, in one channel or two, dry
// or in the usual room, and none misses its loudness for its peak.
func TestOrdinaryTunesAreLeftAlone(t *testing.T) {
	names, err := filepath.Glob("../testdata/tabs/*.txt")
	require.NoError(t, err)
	door, heard := NewDoor(), 0
	for _, name := range names {
		if strings.HasPrefix(filepath.Base(name), "mistakes") {
			continue
		}
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, channels := range []int{1, 2} {
			for _, room := range []float64{0, Defaults().Room} {
				r := Defaults()
				r.Tab, r.Channels, r.Room = string(text), channels, room
				p, err := door.Open(t.Context(), r)
				require.NoError(t, err, name)
				require.NoError(t, p.Prepare(t.Context()))
				got := p.sound.Report()
				assert.Less(t, got.Touched, 0.01, name)
				assert.False(t, got.PeakWins, name)
				assert.Less(t, math.Abs(got.Loudness-r.Loudness), 0.5, name)
				heard++
			}
		}
	}
	assert.Greater(t, heard, 60)
}
