package chord_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/chord"
)

// The notes of chords, as every textbook of harmony has them (common practice,
// no source).
func TestParse(t *testing.T) {
	for symbol, want := range map[string]struct {
		root, bass int
		tones      []int
	}{
		"C":        {0, 0, []int{0, 4, 7}},
		"Am":       {9, 9, []int{0, 3, 7}},
		"A-":       {9, 9, []int{0, 3, 7}},
		"G7":       {7, 7, []int{0, 4, 7, 10}},
		"Cmaj7":    {0, 0, []int{0, 4, 7, 11}},
		"CM7":      {0, 0, []int{0, 4, 7, 11}},
		"CΔ":       {0, 0, []int{0, 4, 7, 11}},
		"Cm7":      {0, 0, []int{0, 3, 7, 10}},
		"CmM7":     {0, 0, []int{0, 3, 7, 11}},
		"Cmmaj7":   {0, 0, []int{0, 3, 7, 11}},
		"F#m7b5":   {6, 6, []int{0, 3, 6, 10}},
		"F♯ø":      {6, 6, []int{0, 3, 6, 10}},
		"Bdim":     {11, 11, []int{0, 3, 6}},
		"Bdim7":    {11, 11, []int{0, 3, 6, 9}},
		"B°7":      {11, 11, []int{0, 3, 6, 9}},
		"Caug":     {0, 0, []int{0, 4, 8}},
		"C+":       {0, 0, []int{0, 4, 8}},
		"C7#5":     {0, 0, []int{0, 4, 8, 10}},
		"Csus4":    {0, 0, []int{0, 5, 7}},
		"Csus2":    {0, 0, []int{0, 2, 7}},
		"C7sus4":   {0, 0, []int{0, 5, 7, 10}},
		"C6":       {0, 0, []int{0, 4, 7, 9}},
		"C6/9":     {0, 0, []int{0, 4, 7, 9, 2}},
		"C9":       {0, 0, []int{0, 4, 7, 10, 2}},
		"Cadd9":    {0, 0, []int{0, 4, 7, 2}},
		"C7(b9)":   {0, 0, []int{0, 4, 7, 10, 1}},
		"D/F#":     {2, 6, []int{0, 4, 7}},
		"Am7/G":    {9, 7, []int{0, 3, 7, 10}},
		"Bb":       {10, 10, []int{0, 4, 7}},
		"B♭m":      {10, 10, []int{0, 3, 7}},
		"E5":       {4, 4, []int{0, 7}},
		"Cb":       {11, 11, []int{0, 4, 7}},
		"G13":      {7, 7, []int{0, 4, 7, 10, 2, 9}},
		"Gmaj9":    {7, 7, []int{0, 4, 7, 11, 2}},
		"Gm11":     {7, 7, []int{0, 3, 7, 10, 2, 5}},
		"C6/9/E":   {0, 4, []int{0, 4, 7, 9, 2}},
		"Cm(add9)": {0, 0, []int{0, 3, 7, 2}},
		"Cma9":     {0, 0, []int{0, 4, 7, 11, 2}},
		"G7alt":    {7, 7, []int{0, 4, 8, 10, 3}},
		"Dm7(b5)":  {2, 2, []int{0, 3, 6, 10}},
	} {
		c, err := chord.Parse(symbol)
		require.NoError(t, err, symbol)
		assert.Equal(t, chord.Chord{Symbol: symbol, Root: want.root, Bass: want.bass, Tones: want.tones}, c)
	}
}

// Moved along with a harp, a chord keeps its kind and what it is written with.
func TestMoved(t *testing.T) {
	for from, to := range map[string]string{"C": "Bb", "F#m7b5/A": "Em7b5/G", "B♭7": "Ab7", "C6/9/E": "Bb6/9/D", "N.C.": "N.C.", "D/D": "C/D"} {
		c, err := chord.Parse(from)
		require.NoError(t, err)
		assert.Equal(t, to, c.Moved(-2).Symbol)
		assert.Equal(t, c, c.Moved(12))
		if !c.Silent && to != "C/D" {
			again, err := chord.Parse(to)
			require.NoError(t, err)
			assert.True(t, again.Same(c.Moved(-2)), to)
		}
	}
}

func TestNoChord(t *testing.T) {
	for _, symbol := range []string{"N.C.", "NC", "N.C"} {
		c, err := chord.Parse(symbol)
		require.NoError(t, err)
		assert.True(t, c.Silent)
	}
}

// What is none says what is nearest.
func TestNearest(t *testing.T) {
	for symbol, nearest := range map[string]string{
		"am": "Am", "(G7)": "G7", "B♭mx7": "Bbm7", "♭B": "B", "[c]": "C", "H7": "B7", "Cmj7": "Cmaj7", "Gdom7": "Gdim7", "Amin77x": "Amaj7", "Csuss4": "Csus4", "4": "C", "": "C", "X": "C",
		"F#m7-b": "F#m7", "D/": "D", "D/X": "D", "Emaj7/": "Emaj7", "Bbb7": "Bb7", "C/9/9": "C",
	} {
		_, err := chord.Parse(symbol)
		var unknown *chord.Unknown
		require.ErrorAs(t, err, &unknown, symbol)
		assert.Equal(t, nearest, unknown.Nearest, symbol)
		_, err = chord.Parse(nearest)
		assert.NoError(t, err)
	}
}

// Whatever is read is a chord, and what is offered instead is one.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"C", "F#m7b5/A", "N.C.", "Bb13", "C6/9/E", "Cø7", "+", "/", "C((b9))", "Hmaj7"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, symbol string) {
		c, err := chord.Parse(symbol)
		if err != nil {
			_, err = chord.Parse(chord.Nearest(symbol))
			require.NoError(t, err)
			return
		}
		require.True(t, c.Silent || len(c.Tones) > 0 && c.Tones[0] == 0)
		for _, class := range append(c.Tones, c.Root, c.Bass) {
			require.True(t, class >= 0 && class < 12)
		}
	})
}

func ExampleParse() {
	c, err := chord.Parse("D/F#")
	fmt.Println(c.Root, c.Tones, c.Bass, err)
	_, err = chord.Parse("Dmajj7")
	fmt.Println(err)
	// Output:
	// 2 [0 4 7] 6 <nil>
	// "Dmajj7" is no chord; the nearest is Dmaj7
}

func TestSpelling(t *testing.T) {
	for symbol, want := range map[string][3]string{
		"C": {"C", "", ""}, "B♭m7": {"Bb", "m7", ""}, "F#m7b5/A♯": {"F#", "m7b5", "A#"}, "C6/9": {"C", "6/9", ""}, "C6/9/E": {"C", "6/9", "E"},
		"D/D": {"D", "", "D"}, "N.C.": {"", "", ""}, "Bb/C": {"Bb", "", "C"},
	} {
		c, err := chord.Parse(symbol)
		require.NoError(t, err)
		root, quality, bass := c.Spelling()
		assert.Equal(t, want, [3]string{root, quality, bass}, symbol)
	}
}
