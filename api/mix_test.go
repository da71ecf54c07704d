package api_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/synth/measure"
	"reedlark/tab/diag"
)

const accompanied = "Metre: 4/4\nchords: C | Am F | G7 | %\n4 4 5 5 | 6 -6 6- | -5 -4 -5 -4 | -4---\n"

func codes(list []diag.Diagnostic) (out []string) {
	for _, d := range list {
		out = append(out, string(d.Severity)+" "+string(d.Code))
	}
	return out
}

// split is the melody left and all else right, the melody 6 to 10 LU in front
// by the meter of ITU-R BS.1770-4, and as loud together as was asked for.
func TestSplitIsMelodyAndRest(t *testing.T) {
	for _, backing := range []string{"chords", "drone"} {
		h := hear(t, accompanied, "mix", "split", "backing", backing)
		require.Len(t, h.channels, 2)
		left, right := measure.Integrated(h.channels[:1], h.rate), measure.Integrated(h.channels[1:], h.rate)
		assert.InDelta(t, 8, left-right, 2, backing)
		assert.InDelta(t, -16, measure.Integrated(h.channels, h.rate), 0.5)
		for _, n := range h.score.Notes[:4] {
			x := measure.Cut(h.channels[0], h.rate, n.Start+0.2, n.Start+0.8*n.Seconds)
			assert.InDelta(t, 0, measure.Cents(measure.Pitch(x, h.rate), n.Voices[0].Hz), 5)
		}
	}
	assert.Len(t, hear(t, "4 5", "mix", "split", "channels", "1").channels, 2, "whatever channels says")
}

// Every note of the backing sounds where the score says, at its pitch: it is
// stronger there than half a semitone beside or, where the note is low or short,
// a little more.
func TestBackingSoundsAsTheScoreSays(t *testing.T) {
	h := hear(t, accompanied, "mix", "backing", "backing", "chords", "tempo", "70", "a4", "442")
	require.NotEmpty(t, h.score.Backing)
	for _, b := range h.score.Backing {
		x := measure.Cut(h.channels[0], h.rate, b.Start, b.Start+b.Seconds)
		beside := b.Hz + max(0.03*b.Hz, 4/b.Seconds) // as near as so short a sound can be told apart
		assert.Greater(t, amplitude(x, h.rate, b.Hz), 3*amplitude(x, h.rate, beside), "%s at %.2f", b.Name, b.Start)
		assert.InDelta(t, 442*math.Pow(2, float64(b.Midi-69)/12), b.Hz, 1e-6)
	}
}

// amplitude is that of one frequency in a sound, by Goertzel's sum under a
// window of Hann.
func amplitude(x []float64, rate int, hz float64) float64 {
	re, im := 0.0, 0.0
	for i, v := range x {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(len(x)))
		re += w * v * math.Cos(2*math.Pi*hz*float64(i)/float64(rate))
		im += w * v * math.Sin(2*math.Pi*hz*float64(i)/float64(rate))
	}
	return math.Hypot(re, im) / float64(len(x))
}

// Strings that are struck push the air neither way: no DC over -80 dBFS.
func TestBackingHasNoDC(t *testing.T) {
	h := hear(t, accompanied, "mix", "backing", "backing", "chords", "repeat", "3")
	assert.Less(t, measure.DB(math.Abs(measure.DC(h.channels[0]))), -80.0)
}

// A mix takes parts away and leaves all times where they are; clicks belong to
// the rest.
func TestMixes(t *testing.T) {
	all := []string{"backing", "drone", "count_in", "1"}
	whole := hear(t, "4 5 6 7", all...)
	melody := hear(t, "4 5 6 7", append(all, "mix", "melody")...)
	rest := hear(t, "4 5 6 7", append(all, "mix", "backing")...)
	assert.Equal(t, whole.score, melody.score)
	assert.Equal(t, whole.score, rest.score, "the score lists everything")
	assert.Equal(t, []int{len(whole.channels[0]), len(whole.channels[0])}, []int{len(melody.channels[0]), len(rest.channels[0])})
	first := whole.score.Notes[0].Start
	level := func(h heard) float64 { return measure.RMS(measure.Cut(h.channels[0], h.rate, 0, first-0.05)) }
	assert.Zero(t, level(melody), "nothing is counted")
	assert.Greater(t, level(rest), 0.001)
}

// A page of chords alone is a backing track, and none where no backing is asked
// for.
func TestChordsAlone(t *testing.T) {
	const page = "Tempo: 120\nMetre: 3/4\nchords: |: C | F G7 :|\n"
	h := hear(t, page, "backing", "chords", "repeat", "2")
	assert.Empty(t, h.score.Notes)
	assert.NotNil(t, h.score.Notes)
	assert.Equal(t, 24.0, h.score.Beats)
	assert.InDelta(t, 12.25, h.score.Seconds, 1e-9)
	assert.Empty(t, h.score.Diagnostics)
	assert.Greater(t, measure.RMS(h.channels[0]), 0.01)
	for _, query := range []string{"off", "drone"} {
		r := api.Defaults()
		r.Tab, r.Backing = page, query
		_, err := api.Open(t.Context(), r)
		assert.Equal(t, query == "off", err != nil, query)
	}
}

// Chords that are wrong keep no tab from sounding that is played without them.
func TestWrongChordsOnlyMatterWhereTheyArePlayed(t *testing.T) {
	const page = "chords: H7 | C | G\n4 5 6 7 | 4 5 6 7\n"
	assert.Equal(t, []string{"note chords-mismatch", "warning unknown-chord"}, codes(hear(t, page).score.Diagnostics))
	assert.Equal(t, []string{"note chords-mismatch"}, codes(hear(t, strings.Replace(page, "H7", "C", 1), "strict", "true").score.Diagnostics))
	r := api.Defaults()
	r.Tab, r.Backing = page, "chords"
	_, err := api.Open(t.Context(), r)
	var refused *api.TabError
	require.ErrorAs(t, err, &refused)
	assert.Equal(t, []string{"warning chords-mismatch", "error unknown-chord"}, codes(refused.Diagnostics))
}

// What nobody plays is silence, and a warning says so.
func TestMixOfNothing(t *testing.T) {
	for _, c := range []struct {
		tab, backing, mix string
		want              []string
		silent            bool
	}{
		{"4 5", "off", "backing", []string{"warning mix-silent"}, true},
		{"4 5", "chords", "all", []string{"warning no-chords"}, false},
		{"4 5", "chords", "backing", []string{"warning no-chords", "warning mix-silent"}, true},
		{"chords: C", "chords", "melody", []string{"warning mix-silent"}, true},
		{"chords: C", "chords", "split", nil, false},
		{"4 5", "off", "split", nil, false},
		{"chords: N.C.\n4 5 6 7", "chords", "backing", []string{"warning mix-silent"}, true},
		{"4 5", "off", "melody", nil, false},
	} {
		h := hear(t, c.tab, "backing", c.backing, "mix", c.mix)
		assert.Equal(t, c.want, codes(h.score.Diagnostics), "%+v", c)
		sum := 0.0
		for _, x := range h.channels {
			sum += measure.RMS(x)
		}
		assert.Equal(t, c.silent, sum == 0, "%+v", c)
	}
}

// Chords go with the harp: a page written for one in C and played on one in A
// sounds a minor third lower, chords too. A page that names no harp is written
// for the one that is asked for.
func TestChordsGoWithTheHarp(t *testing.T) {
	h := hear(t, "Harp: C\nchords: C Am7/G\n4--- 4---", "harp", "A", "backing", "chords")
	assert.Equal(t, []string{"note chords-moved"}, codes(h.score.Diagnostics))
	assert.Equal(t, []string{"A", "F#m7/E"}, []string{h.score.Chords[0].Symbol, h.score.Chords[1].Symbol})
	assert.Equal(t, 9, h.score.Backing[0].Midi%12)
	h = hear(t, "chords: C\n4---", "harp", "A", "backing", "chords")
	assert.Empty(t, h.score.Diagnostics)
	assert.Equal(t, "C", h.score.Chords[0].Symbol)
}

// The drone is the key note of the song and its fifth, from the first beat to
// the last: in second position on a harp in C, G and D (common practice, no
// source).
func TestDrone(t *testing.T) {
	h := hear(t, "4 5 6 7", "backing", "drone", "position", "2", "repeat", "2", "count_in", "1")
	require.Len(t, h.score.Backing, 2)
	assert.Equal(t, "G", h.score.SongKey)
	for i, class := range []int{7, 2} {
		b := h.score.Backing[i]
		assert.Equal(t, class, b.Midi%12)
		assert.InDelta(t, h.score.Notes[0].Start, b.Start, 1e-9)
		assert.InDelta(t, 8*0.6, b.Seconds, 1e-9)
		x := measure.Cut(h.channels[0], h.rate, b.Start+1, b.Start+4)
		assert.Greater(t, amplitude(x, h.rate, b.Hz), 10*amplitude(x, h.rate, 1.03*b.Hz))
	}
	just := hear(t, "4 5", "backing", "drone", "tuning", "just").score.Backing
	assert.InDelta(t, 1.5, just[1].Hz/just[0].Hz, 1e-12, "a pure fifth")
}

// Of a part, what plays along is heard from its first beat to its last, over all
// rounds, and swings with it.
func TestBackingOfAPart(t *testing.T) {
	h := hear(t, accompanied, "backing", "chords", "from", "L3", "to", "6", "repeat", "2", "swing", "0.66", "tempo", "60")
	var symbols []string
	for _, c := range h.score.Chords {
		symbols = append(symbols, c.Symbol)
	}
	assert.Equal(t, []string{"C", "Am", "C", "Am"}, symbols)
	zero, swung := h.score.Notes[0].Start, 0
	for _, b := range h.score.Backing {
		assert.GreaterOrEqual(t, b.Start, zero)
		assert.LessOrEqual(t, b.Start+b.Seconds, zero+12+1e-9)
		if _, into := math.Modf(b.Start - zero + 1e-9); into > 0.1 {
			assert.InDelta(t, 0.66, into, 1e-6)
			swung++
		}
	}
	assert.NotZero(t, swung)
	h = hear(t, accompanied, "backing", "chords", "from", "12.5", "to", "13")
	assert.Equal(t, 1, len(h.score.Chords), "a part inside one chord")
	assert.Empty(t, codes(h.score.Diagnostics))
}
