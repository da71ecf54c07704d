package arrange_test

import (
	"errors"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pgregory.net/rapid"

	"reedlark/tab/arrange"
	"reedlark/tab/beat"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// harps are the standard harps, or those with the keys named.
func harps(t require.TestingT, keys ...string) (out []harp.Harp) {
	layout, err := harp.LayoutByName("richter")
	require.NoError(t, err)
	if len(keys) == 0 {
		out, err = harp.Standard(layout, harp.Equal, 440)
		require.NoError(t, err)
	}
	for _, k := range keys {
		key, err := harp.ParseKey(k)
		require.NoError(t, err)
		h, err := harp.New(key, layout, harp.Equal, 440)
		require.NoError(t, err)
		out = append(out, h)
	}
	return out
}

// typed reads a melody and gives all its bars a metre.
func typed(t require.TestingT, text string, metre melody.Metre) *melody.Tune {
	tune, err := melody.Parse(text)
	require.NoError(t, err)
	for i := range tune.Bars {
		tune.Bars[i].Metre = metre
	}
	if len(tune.Bars) == 1 && metre.Unit > 0 {
		tune.Bars = rebar(tune.Length, metre)
	}
	tune.NumberBars()
	return tune
}

// rebar cuts some time into bars, wherever notes begin.
func rebar(length beat.Time, metre melody.Metre) (bars []melody.Bar) {
	for at := (beat.Time{}); at.Less(length); at = at.Plus(metre.Length()) {
		bars = append(bars, melody.Bar{At: at, Metre: metre})
	}
	return bars
}

// page writes a tune for a harp in C.
func page(t require.TestingT, tune *melody.Tune) *arrange.Page {
	o := arrange.Options{Harps: harps(t, "C"), Wish: harp.Wish{Overs: true, Octave: new(int)}}
	p, err := arrange.Write(tune, arrange.Ways(tune, o)[0], o)
	require.NoError(t, err)
	return p
}

// Rhythm as it is easiest to read: the rules of the package's comment.
func TestRhythm(t *testing.T) {
	four, six, three := melody.Metre{Beats: 4, Unit: 4}, melody.Metre{Beats: 6, Unit: 8}, melody.Metre{Beats: 3, Unit: 4}
	for _, c := range []struct {
		melody string
		metre  melody.Metre
		want   string
	}{
		{"C5:2 D5 r | E5:4", four, "4- -4 r | 5--- |"},
		{"C5:1/2 D5:1/2 E5:1/3 F5:1/3 G5:1/3 A5:2", four, "{4 -4} {5 -5 6} -6- |"},
		{"C5:3/2 D5:1/2 E5:2", four, "{4-- -4}- 5- |"},                                             // counting cannot say it
		{"C5:1/2 D5 E5 F5 G5:1/2", four, "tab:    4 -4 5 -5 6 |\ncount:  1 &  & &  &"},             // it can here
		{"C5 E5:1/2 G5 E5:1/2 C5", four, "tab:    4 5 6 5 4 |\ncount:  1 2 & & 4"},                 // 6 crosses beat 3
		{"C5:4 E5:6 C5:2 r:4", four, "4--- | 5--- | - - 4- | r--- |"},                              // over a bar line
		{"G5 | C5 D5 E5 | E5 D5 C5", three, "6 | 4 -4 5 | 5 -4 4 |"},                               // a pick-up
		{"G5:1/2 | C5 D5 E5:3/2 C5:1/2 | C5:4", four, "{r 6} | 4 -4 {5-- 4}- | 4--- |"},            // of half a beat
		{"C5:1 D5:1/2 E5:1/2 D5:1/2 C5:1/2 | C5:3", six, "4- -4 5 -4 4 | 4----- |"},                // a beat is an eighth
		{"C5:1 D5:1/2 E5:1/2 D5:1/2 C5:1/2 | C5:3 | r:3", six, "4- -4 5 -4 4 | 4----- | r----- |"}, // silence at the end
		{"C5:2/3 D5:2/3 E5:2/3 r:2", four, "tab:    4 -4  5    r |\ncount:  1 let trip 3"},
		{"C5 D5:2/3 E5:2/3 F5:2/3 C5", four, "tab:    4 -4 5   -5   4 |\ncount:  1 2  let trip 4"},
		{"C5:1/5 D5:1/5 E5:3/5 F5:3", four, "{4 -4 5--} -5-- |"}, // what nobody counts
		{"C5:7/2 D5 E5:7/2", four, "4-- {- -4} | {- 5} --- |"},
		{"C5:1/2 D5:3/2 E5:1/2 r:3/2", four, "tab:    4 -4 5 r r |\ncount:  1 &  3 & 4"},
		{"C5 r:3/2 D5:1/2 E5:1/2 r:1/2", four, "4 r {r -4} {5 r} |"},
		{"C5:1/4 D5:1/4 E5:1/2 C5:3/4 D5:1/4 C5:2", four, "{4 -4 5-} {4-- -4} 4- |"}, // parts of one beat
	} {
		p := page(t, typed(t, c.melody, c.metre))
		assert.Equal(t, "Harp: C\nMetre: "+c.metre.String()+"\n\n"+c.want+"\n", p.Text, c.melody)
	}
}

// form writes a tune of four bars and what is over and around them.
func form(t *testing.T) *melody.Tune {
	tune := typed(t, "G4 C5 D5:1/2 E5:3/2 D5 C5 E5:2 C5:2 E5 D5:3 C5:4", melody.Metre{Beats: 4, Unit: 4})
	tune.Title, tune.Tempo = "-4 5 6", 90
	return tune
}

func TestPage(t *testing.T) {
	tune := form(t)
	tune.Bars[0].Open, tune.Bars[1].Close, tune.Bars[2].Section, tune.Bars[3].Double = true, 3, "B part", true
	for i, words := range []string{"A-", "ma-", "zing", "grace", "", "how", "sweet", "the", "sound", "4", "5"} {
		tune.Notes[i].Words = []string{words, "two"}
	}
	tune.Verses = 2
	tune.Chords = []melody.Chord{{Symbol: "C"}, {At: beat.Whole(3), Symbol: "G7"}, {At: beat.Whole(8), Symbol: "F"}, {At: beat.Whole(10), Symbol: "Zz"}, {At: beat.Whole(12), Symbol: "C"}}
	tune.Notes[5].Breath = true
	tune.Notes[7].Slide.To = true
	tune.Notes[8].Optional = true
	grace := melody.Note{At: beat.Whole(6), Grace: true, Pitches: []melody.Pitch{{Midi: 74}}}
	tune.Notes = slices.Insert(tune.Notes, 6, grace)
	assert.Equal(t, `Title: -4 5 6
Harp: C
Tempo: 90
Metre: 4/4
# left out as no chord symbol: Zz

chords: C / / G7 | G7
tab:    |: 3  4   -4   5     | -4 4 , (-4)5 :| x3
count:     1  2   3    &     | 1  2   3
           A- ma- zing grace   _  how sweet

[B part]
chords: F | C
4- -> (5)   -4 | - - 4- ||
the   sound 4        5

chords: C
- - |

text: Verse 2
text: two two two two two two two two two two two
`, page(t, tune).Text)
}

// What the harp lacks leaves a rest, a comment and an entry.
func TestLost(t *testing.T) {
	tune := typed(t, "C5:1/2 Ab4:1/2 D5 Eb4 C5", melody.Metre{Beats: 4, Unit: 4})
	o := arrange.Options{Harps: harps(t, "C"), Wish: harp.Wish{Octave: new(int), Bends: harp.BendsNone}}
	p, err := arrange.Write(tune, arrange.Ways(tune, o)[0], o)
	require.NoError(t, err)
	assert.Equal(t, `Harp: C
Metre: 4/4

# bar 1: the harp in C has no Ab4; a rest stands for it
# bar 1: the harp in C has no Eb4; a rest stands for it
{4 r} -4 r 4 |
`, p.Text)
	require.Len(t, p.Lost, 2)
	for i, what := range []string{"Ab4", "Eb4"} {
		assert.Equal(t, "1", p.Lost[i].Bar)
		assert.Equal(t, what, p.Lost[i].What)
		assert.Equal(t, "r", p.Text[p.Lost[i].Span.Start:p.Lost[i].Span.End])
	}
}

// anyTune draws a tune: notes of every length that notation has, over bar lines,
// in any metre, with repeats, endings, words, chords, graces and brackets.
func anyTune(t *rapid.T) *melody.Tune {
	metre := rapid.SampledFrom([]melody.Metre{{Beats: 4, Unit: 4}, {Beats: 3, Unit: 4}, {Beats: 6, Unit: 8}, {Beats: 2, Unit: 2}, {}}).Draw(t, "metre")
	tune := &melody.Tune{}
	lengths := []beat.Time{beat.Whole(1), beat.Whole(2), beat.Whole(1).Over(2), beat.Whole(3).Over(2), beat.Whole(1).Over(3), beat.Whole(2).Over(3), beat.Whole(1).Over(4), beat.Whole(3).Over(4), beat.Whole(7).Over(2), beat.Whole(1).Over(5)}
	for range rapid.IntRange(1, 40).Draw(t, "notes") {
		n := melody.Note{At: tune.Length, Length: rapid.SampledFrom(lengths).Draw(t, "length"), Pitches: []melody.Pitch{melody.FromMidi(rapid.IntRange(60, 96).Draw(t, "midi"), 0)}}
		tune.Length = n.End()
		switch rapid.IntRange(0, 9).Draw(t, "kind") {
		case 0, 1:
			continue // a rest
		case 2:
			tune.Notes = append(tune.Notes, melody.Note{At: n.At, Grace: true, Pitches: n.Pitches})
		case 3:
			n.Optional = true
		case 4:
			n.Breath = true
		case 5:
			n.Slide.To = true
		case 6:
			n.Words = []string{rapid.SampledFrom([]string{"la", "4", "-4", "tab:", "A-", "C", "x2", "|", "{5"}).Draw(t, "word")}
		}
		tune.Notes = append(tune.Notes, n)
	}
	bar := metre.Length()
	if metre.Unit == 0 {
		bar = beat.Whole(5).Over(2)
	}
	first := beat.Whole(1).Over(2).Times(rapid.IntRange(0, 3).Draw(t, "pickup"))
	for at := (beat.Time{}); at.Less(tune.Length); {
		b := melody.Bar{At: at, Metre: metre}
		switch rapid.IntRange(0, 9).Draw(t, "sign") {
		case 0:
			b.Open = true
		case 1:
			b.Close = 2
		case 2:
			b.Double = true
		case 3:
			b.Section = rapid.SampledFrom([]string{"A", "4", "Chorus", "Verse 2"}).Draw(t, "section")
		case 4:
			b.Endings = []int{1}
		case 5:
			b.Endings = []int{2}
		}
		tune.Bars = append(tune.Bars, b)
		if at.Sign() == 0 && first.Sign() > 0 {
			at = first
			continue
		}
		at = at.Plus(bar)
	}
	for i := range tune.Bars {
		if rapid.Bool().Draw(t, "chord") {
			tune.Chords = append(tune.Chords, melody.Chord{At: tune.Bars[i].At, Symbol: rapid.SampledFrom([]string{"C", "Am7", "N.C.", "D/F#"}).Draw(t, "symbol")})
		}
	}
	tune.NumberBars()
	return tune
}

// Every page plays its tune: that is what Write itself finds out, so it must
// never have to give up.
func TestEveryPagePlaysItsTune(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tune := anyTune(t)
		if !tune.Sounds() {
			return
		}
		o := arrange.Options{Harps: harps(t), Wish: harp.Wish{Overs: rapid.Bool().Draw(t, "overs")}}
		_, err := arrange.Write(tune, arrange.Ways(tune, o)[0], o)
		if !errors.Is(err, arrange.ErrNothing) {
			require.NoError(t, err)
		}
	})
}
