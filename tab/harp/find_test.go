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
	notes, err := harp.ParseMelody(melody)
	require.NoError(t, err)
	layout, err := harp.LayoutByName("richter")
	require.NoError(t, err)
	found, err := harp.Ways(notes, layout, harp.Equal, 440)
	require.NoError(t, err)
	by = map[string]harp.Way{}
	for _, w := range found {
		order = append(order, w.Harp.Key.String())
		by[w.Harp.Key.String()] = w
	}
	return order, by
}

// tab writes places the way players do: draw with a dash.
func tab(places []harp.Place) (out string) {
	for i, p := range places {
		if i > 0 {
			out += " "
		}
		if p.Breath == harp.Draw {
			out += "-"
		}
		out += fmt.Sprint(p.Hole)
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
	_, by := ways(t, "C")
	assert.Equal(t, "1", tab(by["C"].Places))
	assert.Equal(t, "-2", tab(by["F"].Places))
	assert.Equal(t, "-3", tab(by["Db"].Places))
	assert.Equal(t, "-1", tab(by["Bb"].Places))
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
		assert.Equal(t, c.tab, tab(w.Places), c.melody)
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
	assert.Equal(t, "7 8/ 9/ -10", tab(by["C"].Places), "an octave up rather than two overs")
	assert.Equal(t, 1, by["C"].Octave)
	assert.Equal(t, 2, by["C"].Bends)
	_, by = ways(t, "C4 Eb5 C7")
	assert.Equal(t, "1 4* 10", tab(by["C"].Places))
	assert.Equal(t, 1, by["C"].Overs)
}

// Whatever is found plays the melody, all of it moved by the same octaves.
func TestWaysPlayTheMelody(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		melody := rapid.SliceOfN(rapid.IntRange(50, 100), 1, 12).Draw(t, "melody")
		layout, err := harp.LayoutByName(rapid.SampledFrom(harp.Layouts()).Draw(t, "layout"))
		require.NoError(t, err)
		found, err := harp.Ways(melody, layout, harp.Equal, 440)
		require.NoError(t, err)
		for _, w := range found {
			require.Len(t, w.Places, len(melody))
			for i, p := range w.Places {
				assert.Equal(t, melody[i]+12*w.Octave, p.Pitch.Midi)
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

func TestParseMelody(t *testing.T) {
	cases := map[string][]int{
		"C4 D4 F#4":          {60, 62, 66},
		" c4,d4|Bb3 ":        {60, 62, 58},
		"C D E F G A B C":    {60, 62, 64, 65, 67, 69, 71, 72},
		"G E C A5 G":         {67, 64, 60, 81, 79},
		"C4 F# C":            {60, 66, 72}, // the middle of an octave: upwards
		"B♭4 E♭ F♯":          {70, 75, 78},
		"C4\tD4\nE4\u00a0F4": {60, 62, 64, 65},
	}
	for text, want := range cases {
		got, err := harp.ParseMelody(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	_, err := harp.ParseMelody("C4 H4 é D4 4")
	assert.ErrorContains(t, err, `at character 4: "H4" is no note`)
	assert.ErrorContains(t, err, `at character 7: "é" is no note`)
	assert.ErrorContains(t, err, `at character 12: "4" is no note`)
	for _, none := range []string{"", " | ,"} {
		_, err = harp.ParseMelody(none)
		assert.ErrorContains(t, err, "C4 D4 F#4")
	}
}

// FuzzParseMelody: whatever is written either fails or is notes.
func FuzzParseMelody(f *testing.F) {
	for _, s := range []string{"C4 D4 F#4", "c d e", "B#9 | x", "\xff", "G9 G A B"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		melody, err := harp.ParseMelody(s)
		if err != nil {
			require.Nil(t, melody)
			return
		}
		for _, midi := range melody {
			require.True(t, midi >= 0 && midi <= 127, "%d", midi)
		}
	})
}
