package harp_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/harp"
)

// where lists the places of a note on the harp in each key.
func where(t *testing.T, note string) map[string][]harp.Place {
	t.Helper()
	midi, err := harp.ParseNote(note)
	require.NoError(t, err)
	layout, err := harp.LayoutByName("richter")
	require.NoError(t, err)
	all, err := harp.Where(midi, layout, harp.Equal, 440)
	require.NoError(t, err)
	require.Len(t, all, 12)
	out := map[string][]harp.Place{}
	for _, f := range all {
		out[f.Harp.Key.String()] = f.Places
	}
	return out
}

func plain(places []harp.Place, hole int, breath harp.Breath) bool {
	for _, p := range places {
		if p.Hole == hole && p.Breath == breath && p.Technique == harp.Plain {
			return true
		}
	}
	return false
}

// Where teachers say a written note lies (common practice, no source): the C in
// the middle of a C harp is 4 blow; it is 2 draw on the F harp, whose scale has
// it as its fifth, and 3 draw on the Db harp, whose leading note it is.
func TestWhereAWrittenNoteLies(t *testing.T) {
	c5, c4 := where(t, "C5"), where(t, "C4")
	assert.True(t, plain(c5["C"], 4, harp.Blow))
	assert.True(t, plain(c4["C"], 1, harp.Blow))
	assert.True(t, plain(c5["F"], 2, harp.Draw))
	assert.True(t, plain(c5["F"], 3, harp.Blow))
	assert.True(t, plain(c5["Db"], 3, harp.Draw))
	assert.Empty(t, c4["Db"], "a note under the lowest of the harp")
}

// Every place that is found sounds the note, and every place of a harp's chart
// that sounds it is found.
func TestWhereFindsAllAndNothingElse(t *testing.T) {
	layout, err := harp.LayoutByName("harmonic-minor")
	require.NoError(t, err)
	for midi := range 128 {
		all, err := harp.Where(midi, layout, harp.Just, 442)
		require.NoError(t, err)
		for _, f := range all {
			count := 0
			for _, hole := range f.Harp.Chart() {
				for _, p := range append(append([]harp.Place{hole.Blow, hole.Draw}, hole.Bends...), overs(hole)...) {
					if p.Pitch.Midi == midi {
						count++
					}
				}
			}
			assert.Len(t, f.Places, count)
			for _, p := range f.Places {
				assert.Equal(t, midi, p.Pitch.Midi)
			}
		}
	}
}

func overs(h harp.Hole) []harp.Place {
	if h.Over == nil {
		return nil
	}
	return []harp.Place{*h.Over}
}

func TestWhereNeedsAHarpThatCanBe(t *testing.T) {
	layout, err := harp.LayoutByName("richter")
	require.NoError(t, err)
	_, err = harp.Where(60, layout, harp.Equal, 400)
	assert.ErrorContains(t, err, "415")
}

// CRC Handbook of Chemistry and Physics, section 14, "Musical scales", table 1.
func TestHzOfANote(t *testing.T) {
	assert.InDelta(t, 261.63, harp.Hz(60, 440), 0.005)
	assert.InDelta(t, 1396.91, harp.Hz(89, 440), 0.005)
}
