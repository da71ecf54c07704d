package harp_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/tab/harp"
)

// ways finds the ways of a melody on standard harps, by the names of the harps.
func ways(t require.TestingT, melody string) (order []string, by map[string]harp.Way) {
	sounds := sounds(t, melody)
	layout, err := harp.LayoutByName("richter")
	require.NoError(t, err)
	harps, err := harp.Standard(layout, harp.Equal, 440)
	require.NoError(t, err)
	last := sounds[len(sounds)-1].Midi
	found := harp.Ways(sounds, harps, harp.Wish{Overs: true, Song: last[len(last)-1]})
	by = map[string]harp.Way{}
	for _, w := range found {
		if len(w.Missing) > 0 {
			continue
		}
		order = append(order, w.Harp.Key.String())
		by[w.Harp.Key.String()] = w
	}
	return order, by
}

// sounds reads notes with their octaves, joined by + where they sound together.
func sounds(t require.TestingT, melody string) (out []harp.Sound) {
	for _, word := range strings.Fields(melody) {
		var s harp.Sound
		for _, name := range strings.Split(word, "+") {
			midi, err := harp.ParseNote(name)
			require.NoError(t, err)
			s.Midi = append(s.Midi, midi)
		}
		out = append(out, s)
	}
	return out
}

// tab writes places the way players do: draw with a dash.
func tab(touches []harp.Touch) (out string) {
	for i, t := range touches {
		if i > 0 {
			out += " "
		}
		if len(t.Places) == 0 {
			out += "?"
			continue
		}
		p := t.Places[0]
		if p.Breath == harp.Draw {
			out += "-"
		}
		for _, p := range t.Places {
			out += fmt.Sprint(p.Hole)
		}
		if p.Technique == harp.Over {
			out += "*"
		}
		if p.Technique == harp.Bend {
			out += strings.Repeat("/", p.Semitones)
		}
	}
	return out
}

// Where a C lies is what every player's chart of positions says: the key note
// of a harp is blow 1, that of second position draw 2; a C on a harp in Db, its
// leading note, is draw 3 (common practice, no source).
func TestACOnThreeHarps(t *testing.T) {
	_, by := ways(t, "C4")
	assert.Equal(t, "1", tab(by["C"].Touches))
	assert.Equal(t, "-2", tab(by["F"].Touches))
	assert.Equal(t, "-3", tab(by["Db"].Touches))
	assert.Equal(t, "-1", tab(by["Bb"].Touches))
}

func TestMelodies(t *testing.T) {
	cases := []struct{ melody, key, tab string }{
		{"C5 D5 E5 F5 G5 A5 B5 C6", "C", "4 -4 5 -5 6 -6 -7 7"}, // the scale every harp has in the middle
		{"G3 A3 B3 C4", "G", "1 -1 2 -2//"},                     // a fourth low down is a bend
		{"G4 B4 D5 F5 G5", "C", "-2 -3 -4 -5 6"},                // the dominant seventh, drawn; draw 2 lies nearer than blow 3
		{"C4 Eb5 C7", "C", "1 4* 10"},
		{"E4 G4 E4", "C", "2 3 2"}, // blow 3 is on the breath and hole beside
	}
	for _, c := range cases {
		_, by := ways(t, c.melody)
		w, ok := by[c.key]
		require.True(t, ok, c.melody)
		assert.Equal(t, c.tab, tab(w.Touches), c.melody)
	}
}

// A scale is easiest on the harp of its key (first position), and what a bend
// plays comes before what an over plays.
func TestTheEasiestFirst(t *testing.T) {
	for scale, key := range map[string]string{
		"C5 D5 E5 F5 G5 A5 B5 C6": "C", "G4 A4 B4 C5 D5 E5 F#5 G5": "G", "Bb4 C5 D5 Eb5 F5 G5 A5 Bb5": "Bb",
	} {
		order, by := ways(t, scale)
		assert.Equal(t, key, order[0], scale)
		assert.Zero(t, by[key].Bends+by[key].Overs, scale)
		for i := 1; i < len(order); i++ {
			assert.LessOrEqual(t, by[order[i-1]].Overs, by[order[i]].Overs+by[order[i]].Bends, scale)
		}
	}
	_, by := ways(t, "C5 Eb5 F#5 A5")
	assert.Equal(t, "7 8/ 9/ -10", tab(by["C"].Touches), "an octave up rather than two overs")
	assert.Equal(t, 1, by["C"].Octave)
	assert.Equal(t, 2, by["C"].Bends)
	_, by = ways(t, "C4 Eb5 C7")
	assert.Equal(t, "1 4* 10", tab(by["C"].Touches))
	assert.Equal(t, 1, by["C"].Overs)
}

// Whatever is found plays the melody, all of it moved by the same octaves.
func TestWaysPlayTheMelody(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var melody []harp.Sound
		for _, midi := range rapid.SliceOfN(rapid.IntRange(50, 100), 1, 12).Draw(t, "melody") {
			melody = append(melody, harp.Sound{Midi: []int{midi}})
		}
		layout, err := harp.LayoutByName(rapid.SampledFrom(harp.Layouts()).Draw(t, "layout"))
		require.NoError(t, err)
		harps, err := harp.Standard(layout, harp.Equal, 440)
		require.NoError(t, err)
		for _, w := range harp.Ways(melody, harps, harp.Wish{Overs: true}) {
			require.Len(t, w.Touches, len(melody))
			for i, touch := range w.Touches {
				if len(touch.Places) == 0 {
					assert.Contains(t, w.Missing, melody[i].Midi[0])
					assert.Empty(t, w.Harp.Find(melody[i].Midi[0]+12*w.Octave))
					continue
				}
				assert.Equal(t, melody[i].Midi[0]+12*w.Octave, touch.Places[0].Pitch.Midi)
			}
		}
	})
}

// The circle of fifths: a harp in C plays in C, G, D, A, E, B, F#, Db, Ab, Eb,
// Bb and F, in this order (common practice, no source).
func TestPosition(t *testing.T) {
	c := harp.Keys()[0]
	for i, note := range []int{60, 67, 62, 69, 64, 71, 66, 61, 68, 63, 70, 65} {
		assert.Equal(t, i+1, c.Position(note))
		assert.Equal(t, i+1, c.Position(note-24))
	}
	for _, k := range harp.Keys() {
		for n := 1; n <= 12; n++ {
			song, err := harp.ParseKey(k.SongKey(n))
			require.NoError(t, err)
			assert.Equal(t, n, k.Position(song.Tonic()), "%s in %d", k, n)
		}
	}
}

// find plays a melody on the twelve usual harps, or on the C harp alone.
func find(t *testing.T, melody string, wish harp.Wish) []harp.Way {
	t.Helper()
	layout, err := harp.LayoutByName("richter")
	require.NoError(t, err)
	harps, err := harp.Standard(layout, harp.Equal, 440)
	require.NoError(t, err)
	return harp.Ways(sounds(t, melody), harps, wish)
}

// What is missing is named, and comes last: a harp in C has no E flat without
// a bend or an over, however high or low.
func TestWishes(t *testing.T) {
	none := 0
	onC := func(wish harp.Wish) (way harp.Way) {
		for _, w := range find(t, "C4 Eb5 C7", wish) {
			if w.Harp.Key.String() == "C" {
				way = w
			}
		}
		return way
	}
	assert.Equal(t, "1 4* 10", tab(onC(harp.Wish{Overs: true}).Touches))
	assert.Equal(t, "1 ? 10", tab(onC(harp.Wish{}).Touches))
	assert.Equal(t, []int{75}, onC(harp.Wish{}).Missing)
	assert.Equal(t, 0, onC(harp.Wish{Octave: &none}).Octave)
	draws := find(t, "G3 A3 B3 C4", harp.Wish{Bends: harp.BendsNone, Octave: &none})
	for _, w := range draws {
		assert.Zero(t, w.Bends)
	}
	for _, w := range find(t, "G4 Bb4 G4", harp.Wish{Position: 2, Song: 67}) {
		assert.Equal(t, "C", w.Harp.Key.String())
		assert.Equal(t, 2, w.Position)
		assert.Equal(t, "-2 -3/ -2", tab(w.Touches))
	}
	for _, w := range find(t, "Eb7 E7 Eb7", harp.Wish{Bends: harp.BendsDraw}) {
		for _, touch := range w.Touches {
			if len(touch.Places) > 0 && touch.Places[0].Technique == harp.Bend {
				assert.Equal(t, harp.Draw, touch.Places[0].Breath)
			}
		}
	}
}

// A chord is whole where one breath has it, else its top note is played.
func TestChords(t *testing.T) {
	for _, w := range find(t, "C4+E4+G4 D4+G4+B4 C4+F4", harp.Wish{Octave: new(int)}) {
		if w.Harp.Key.String() == "C" {
			assert.Equal(t, "123 -123 -2//", tab(w.Touches))
			assert.True(t, w.Touches[2].Cut)
			assert.Equal(t, 1, w.Bends)
		}
	}
}
