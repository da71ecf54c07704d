package band_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/tab/band"
	"reedlark/tab/beat"
	"reedlark/tab/chord"
)

func parse(t require.TestingT, symbol string) chord.Chord {
	c, err := chord.Parse(symbol)
	require.NoError(t, err)
	return c
}

// tune is bars of one metre with a chord at the start of each.
func tune(t require.TestingT, beats int, feel band.Feel, symbols ...string) band.Tune {
	out := band.Tune{To: beat.Whole(beats * len(symbols)), Feel: feel}
	for bar, symbol := range symbols {
		for i := range beats {
			out.Beats = append(out.Beats, band.Beat{At: beat.Whole(bar*beats + i), Into: i, Of: beats})
		}
		if c := parse(t, symbol); bar == 0 || !c.Same(out.Changes[len(out.Changes)-1].Chord) {
			out.Changes = append(out.Changes, band.Change{At: beat.Whole(bar * beats), Chord: c})
		}
	}
	return out
}

var names = strings.Fields("C Db D Eb E F Gb G Ab A Bb B")

// written is what is played: the bass as its note, the chords as one sign,
// after the beat they begin on.
func written(notes []band.Note) string {
	var words []string
	for i, n := range notes {
		switch {
		case n.Player == band.Bass:
			words = append(words, n.At.String()+names[n.Midi%12])
		case i == 0 || notes[i-1].Player == band.Bass || notes[i-1].At != n.At:
			words = append(words, n.At.String()+"-")
		}
	}
	return strings.Join(words, " ")
}

// The usual accompaniments: bass on the first beat of every group of a bar,
// root and fifth in turn, chords on the others (common practice, no source).
func TestMetres(t *testing.T) {
	easy := band.Feel{Seconds: 0.5}
	jig := band.Feel{Seconds: 0.4, Compound: true}
	for name, c := range map[string]struct {
		beats int
		feel  band.Feel
		bars  string
		want  string
	}{
		"4/4":          {4, easy, "C G7", "0C 1- 2G 3- 4G 5- 6D 7-"},
		"3/4":          {3, easy, "C C F", "0C 1- 2- 3G 4- 5- 6F 7- 8-"},
		"2/4":          {2, easy, "C C", "0C 1- 2G 3-"},
		"6/8":          {6, jig, "C", "0C 1- 2- 3G 4- 5-"},
		"6/8, fast":    {6, band.Feel{Seconds: 0.2, Compound: true}, "C", "0C 2- 3G 5-"},
		"9/8":          {9, jig, "C", "0C 1- 2- 3G 4- 5- 6C 7- 8-"},
		"5/4":          {5, easy, "C", "0C 1- 2- 3G 4-"},
		"7/8":          {7, easy, "Am", "0A 1- 2- 3E 4- 5A 6-"},
		"1/4":          {1, easy, "C G", "0C 0- 1G 1-"},
		"slow":         {4, band.Feel{Seconds: 1}, "C", "0C 1- 3/2- 2G 3- 7/2-"},
		"shuffle":      {4, band.Feel{Seconds: 0.4, Swung: true}, "C", "0C 1- 3/2- 2G 3- 7/2-"},
		"fast shuffle": {4, band.Feel{Seconds: 0.25, Swung: true}, "C", "0C 1- 2G 3-"},
		"slash":        {4, easy, "D/F#", "0Gb 1- 2Gb 3-"},
		"flat fifth":   {4, easy, "Bm7b5", "0B 1- 2F 3-"},
		"no chord":     {4, easy, "C N.C. F", "0C 1- 2G 3- 8F 9- 10C 11-"},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.want, written(band.Play(tune(t, c.beats, c.feel, strings.Fields(c.bars)...))))
		})
	}
}

// Chords that change inside a bar, or between beats, are met by both players.
func TestEveryChordIsMet(t *testing.T) {
	x := tune(t, 4, band.Feel{Seconds: 0.5}, "C", "C")
	for at, symbol := range []string{"C", "F", "G", "Am"} {
		x.Changes = append(x.Changes[:at], band.Change{At: beat.Whole(3 * at).Over(2), Chord: parse(t, symbol)})
	}
	assert.Equal(t, "0C 1- 3/2F 3/2- 2C 3G 3- 4G 9/2A 5- 6E 7-", written(band.Play(x)))
}

// The part that is played begins with the chord that sounds there, and nothing
// sounds past its end.
func TestPart(t *testing.T) {
	x := tune(t, 4, band.Feel{Seconds: 0.5}, "C", "F", "G")
	x.From, x.To = beat.Whole(3).Over(2), beat.Whole(7)
	x.Beats = x.Beats[2:7]
	notes := band.Play(x)
	assert.Equal(t, "3/2C 2G 3- 4F 5- 6C", written(notes))
	for _, n := range notes {
		assert.True(t, !n.At.Less(x.From) && !x.To.Less(n.Till) && n.At.Less(n.Till))
	}
}

// How far the three voices move in progressions everyone plays, at the least
// there is: C to Am moves G to A; C to F moves E to F and G to A; G7 without its
// root to C moves B to C, F to E and D to C or E (rules of common practice, as
// in every textbook of harmony: keep common notes, move the others by step).
func TestVoicesMoveLittle(t *testing.T) {
	for pair, most := range map[string]int{"C Am": 2, "C F": 3, "F C": 3, "C Em": 1, "Am F": 1, "C C7": 5, "Dm G": 5, "G7 C": 5, "C C": 0, "C Cm": 1, "C Caug": 1} {
		symbols := strings.Fields(pair)
		from := band.Lead(nil, parse(t, symbols[0]))
		assert.LessOrEqual(t, band.Movement(from, band.Lead(from, parse(t, symbols[1]))), most, pair)
	}
}

var (
	roots     = strings.Fields("C C# Db D Eb E F F# Gb G Ab A Bb B")
	qualities = []string{"", "m", "7", "maj7", "m7", "m7b5", "dim7", "aug", "sus4", "sus2", "6", "9", "13", "7#9", "5", "add9", "mmaj7", "5no5", "5no5add9"}
)

func drawSymbol(t *rapid.T) string {
	symbol := rapid.SampledFrom(roots).Draw(t, "root") + rapid.SampledFrom(qualities).Draw(t, "quality")
	switch rapid.IntRange(0, 9).Draw(t, "more") {
	case 0:
		return "N.C."
	case 1:
		return symbol + "/" + rapid.SampledFrom(roots).Draw(t, "bass")
	}
	return symbol
}

// Any page of chords: every note belongs to its chord, the players stay within
// reach, voices do not cross or meet, and all three together move by less than
// an octave where the chord has three notes, on an average by less than six semitones (three voices by less than
// a whole tone each).
func TestAnyChords(t *testing.T) {
	moved, changes := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		symbols := rapid.SliceOfN(rapid.Custom(drawSymbol), 2, 12).Draw(t, "symbols")
		x := tune(t, rapid.IntRange(1, 12).Draw(t, "beats"), band.Feel{
			Seconds: rapid.Float64Range(0.1, 2).Draw(t, "seconds"), Compound: rapid.Bool().Draw(t, "compound"), Swung: rapid.Bool().Draw(t, "swung"),
		}, symbols...)
		notes := band.Play(x)
		for _, n := range notes {
			c := at(x, n.At)
			if !n.At.Less(n.Till) || n.Midi < 36 || n.Midi > 79 || !belongs(c, n.Midi) {
				t.Fatalf("%s at %s over %s", names[n.Midi%12], n.At.String(), c.Symbol)
			}
		}
		var voices []int
		three := false
		for _, c := range x.Changes {
			if c.Chord.Silent {
				continue
			}
			next := band.Lead(voices, c.Chord)
			if next[0] >= next[1] || next[1] >= next[2] {
				t.Fatalf("%v", next)
			}
			if voices != nil {
				by := band.Movement(voices, next)
				if by >= 18 && len(c.Chord.Tones) > 2 && three {
					t.Fatalf("%v to %v", voices, next)
				}
				moved, changes = moved+by, changes+1
			}
			voices, three = next, len(c.Chord.Tones) > 2
		}
	})
	t.Logf("%.2f semitones a change", float64(moved)/float64(changes))
	assert.Less(t, float64(moved)/float64(changes), 6.0)
}

func at(x band.Tune, when beat.Time) (c chord.Chord) {
	for _, change := range x.Changes {
		if !when.Less(change.At) {
			c = change.Chord
		}
	}
	return c
}

func belongs(c chord.Chord, midi int) bool {
	for _, tone := range c.Tones {
		if (c.Root+tone)%12 == midi%12 {
			return true
		}
	}
	return c.Bass == midi%12
}

func ExamplePlay() {
	c, _ := chord.Parse("C")
	for _, n := range band.Play(band.Tune{
		Beats:   []band.Beat{{At: beat.Whole(0), Into: 0, Of: 2}, {At: beat.Whole(1), Into: 1, Of: 2}},
		Changes: []band.Change{{At: beat.Whole(0), Chord: c}},
		From:    beat.Whole(0), To: beat.Whole(2),
		Feel: band.Feel{Seconds: 0.5},
	}) {
		fmt.Println(n.At.String(), n.Till.String(), n.Player == band.Bass, n.Midi)
	}
	// Output:
	// 0 2 true 48
	// 1 2 false 55
	// 1 2 false 60
	// 1 2 false 64
}

func words(text string) []string { return strings.Fields(text) }
