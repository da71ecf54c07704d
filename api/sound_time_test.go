package api_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
	"reedlark/synth/measure"
)

// decibel10 is the level at which a note is heard to begin: 10 dB under steady.
var decibel10 = math.Pow(10, -10.0/20)

// Notes out of silence begin on their beat: a tenth of the steady level within 15 ms
// of it, and 10 dB under steady within 4 (3 and what a running RMS of 4 ms blurs).
func TestOnsetsOnTheBeat(t *testing.T) {
	h := hear(t, "1 r 4 r 7 r 10 r -1 r -3// r -5 r -8 r 8/ r", "bends", "direct")
	for _, n := range h.score.Notes {
		hz := n.Voices[0].Hz
		env := h.envelope(hz)
		steady := env.Steady(n.Start+0.5*n.Seconds, n.Start+0.7*n.Seconds)
		assert.InDelta(t, n.Start, env.Onset(n.Start-0.1, steady), 0.015, n.Text)
		assert.InDelta(t, n.Start, env.Rise(n.Start-0.1, decibel10*steady), 0.004, n.Text)
	}
}

// Attack from 10 to 90 %, running RMS over two periods and 4 ms at least.
// ref: recorded harmonica notes (FluidR3 GM, program 22): 28 to 45 ms up to C5, 16 to
// 25 above; under C4 12 to 17 periods; overs 60 to 150 ms (common practice, no source).
func TestAttackByRegister(t *testing.T) {
	cases := []struct {
		harp, tab   string
		least, most float64 // seconds; 0: in periods
	}{
		{"low G", "1--- r 2--- r", 0, 0},
		{"G", "1--- r -1--- r", 0, 0},
		{"C", "1--- r 2--- r 3--- r 4--- r", 0.028, 0.045},
		{"C", "5--- r 6--- r 7--- r 9--- r 10--- r", 0.016, 0.025},
		{"C", "4*--- r 6*--- r -9*--- r", 0.060, 0.150},
	}
	for _, c := range cases {
		h := hear(t, c.tab, "harp", c.harp)
		for _, n := range h.score.Notes {
			least, most := c.least, c.most
			hz := n.Voices[0].Hz
			if most == 0 {
				least, most = 12/hz, 17/hz
			}
			env := h.envelope(hz)
			attack := env.Attack(n.Start-0.1, env.Steady(n.Start+0.5*n.Seconds, n.Start+0.7*n.Seconds))
			assert.GreaterOrEqual(t, attack, least, "%s on %s", n.Text, c.harp)
			assert.LessOrEqual(t, attack, most, "%s on %s", n.Text, c.harp)
		}
	}
}

// What lies between two notes: a gap of 15 to 40 ms where the tongue strikes again, 20
// to 60 where the breath turns, none where the mouth moves on one breath.
// ref: common practice, no source.
func TestGapsBetweenNotes(t *testing.T) {
	cases := []struct {
		tab         string
		least, most float64 // seconds more than 20 dB down
		depth       float64 // dB at least; 0: at most 3
	}{
		{"4 4", 0.008, 0.040, 30},
		{"4 -4", 0.012, 0.060, 30},
		{"-6 6", 0.012, 0.060, 30},
		{"4 5", 0, 0, 0},
		{"-4 -6", 0, 0, 0},
	}
	for _, c := range cases {
		h := hear(t, c.tab)
		next := h.score.Notes[1]
		gap := h.envelope(h.score.Notes[0].Voices[0].Hz).Dip(next.Start-0.15, next.Start+0.15)
		assert.GreaterOrEqual(t, gap.Width, c.least, c.tab)
		assert.LessOrEqual(t, gap.Width, c.most, c.tab)
		if c.depth > 0 {
			assert.Greater(t, gap.Depth, c.depth, c.tab)
			assert.InDelta(t, next.Start-0.02, gap.At, 0.025, "the gap is the end of the note before: %s", c.tab)
		} else {
			assert.Less(t, gap.Depth, 3.0, c.tab)
		}
	}
}

// A note stops with the breath: 90 to 10 % in 20 to 30 ms, 5 to 15 when tongued.
// ref: common practice, no source.
func TestReleases(t *testing.T) {
	for tab, bounds := range map[string][2]float64{"5 r": {0.018, 0.032}, "5 -5": {0.018, 0.032}, "5 5": {0.004, 0.016}, "10 r": {0.018, 0.032}} {
		h := hear(t, tab)
		n := h.score.Notes[0]
		env := measure.Envelope(h.mono(), h.rate, 0.004, 0.0005)
		release := env.Release(n.Start+0.7*n.Seconds, env.Steady(n.Start+0.5*n.Seconds, n.Start+0.7*n.Seconds))
		assert.GreaterOrEqual(t, release, bounds[0], tab)
		assert.LessOrEqual(t, release, bounds[1], tab)
	}
}

// Rests are at least 50 dB down, and the end is silent.
func TestSilenceIsSilent(t *testing.T) {
	h := hear(t, "4 r -4 r r 7")
	steady := measure.RMS(h.steady(h.score.Notes[0]))
	rest := h.score.Notes[0].Start + h.score.Notes[0].Seconds
	assert.Less(t, measure.DB(measure.RMS(measure.Cut(h.mono(), h.rate, rest+0.02, rest+0.55))/steady), -50.0)
	end := h.score.Seconds
	assert.Less(t, measure.DB(measure.RMS(measure.Cut(h.mono(), h.rate, end-0.1, end))/steady), -50.0)
}

// A bend, a release and a fall into a bend, sampled every 10 ms: the pitch follows an S
// in cents from where the score says to where it says, in the time it says.
func TestGlidePaths(t *testing.T) {
	// a bend out of nothing falls from its reed, which is a glide too
	for tab, count := range map[string]int{"-3 - -> -3// - -": 1, "-3// - -> -3 - -": 2, "-2// - - r": 1, "10// - - r": 1, "8/ - -> 8 - -": 2} {
		h := hear(t, tab, "tempo", "80")
		glides := 0
		for _, n := range h.score.Notes {
			v := n.Voices[0]
			if v.GlideSeconds == 0 || v.FromHz == v.Hz {
				continue
			}
			glides++
			followGlide(t, h, n, tab)
		}
		assert.Equal(t, count, glides, tab)
	}
}

// followGlide compares the pitch of one gliding note with its path every 10 ms.
func followGlide(t *testing.T, h heard, n openapi.Note, tab string) {
	v := n.Voices[0]
	lo, hi := min(v.Hz, v.FromHz), max(v.Hz, v.FromHz)
	window := max(0.008, 1.5/lo)
	from := n.Start + 0.02 // the scoop of a new breath and the first windows
	piece := measure.Cut(h.mono(), h.rate, from, n.Start+v.GlideSeconds+0.1)
	points := measure.Track(piece, h.rate, window, 0.010, lo*0.9, hi*1.1)
	require.Greater(t, len(points), 5, tab)
	for _, p := range points {
		u := min((from+p.Seconds-n.Start)/v.GlideSeconds, 1)
		want := v.FromHz * math.Pow(v.Hz/v.FromHz, u*u*(3-2*u))
		assert.InDelta(t, 0, measure.Cents(p.Hz, want), 20, "%s at %.0f %% of the glide", tab, u*100)
	}
	last := points[len(points)-1]
	assert.InDelta(t, 0, measure.Cents(last.Hz, v.Hz), 3, "%s: arrived", tab)
}

// A slide sounds the holes between, on the breath of the note left, in order, and
// lands on its beat.
func TestSlideThroughHoles(t *testing.T) {
	h := hear(t, "4 - -> 7 -")
	var passed []openapi.Note
	for _, n := range h.score.Notes {
		if n.Role == "slide" {
			passed = append(passed, n)
		}
	}
	require.Len(t, passed, 2)
	for i, hole := range []int{5, 6} {
		n := passed[i]
		want := hertz(60 + blow[hole-1])
		middle := measure.Cut(h.mono(), h.rate, n.Start+0.3*n.Seconds, n.Start+0.9*n.Seconds)
		points := measure.Track(middle, h.rate, 0.008, 0.002, want*0.8, want*1.2)
		require.NotEmpty(t, points, "hole %d sounds for %.0f ms", hole, n.Seconds*1000)
		assert.InDelta(t, 0, measure.Cents(points[len(points)/2].Hz, want), 30, "hole %d", hole)
	}
	landing := h.score.Notes[len(h.score.Notes)-1]
	assert.InDelta(t, 1.2, landing.Start-h.score.Notes[0].Start, 1e-6, "two beats at 100")
	assert.InDelta(t, 0, measure.Cents(measure.Pitch(h.steady(landing), h.rate), hertz(84)), 1)
}

// A reed starts flat and closes on its pitch: most after silence and on a new breath, less
// when the tongue strikes again, hardly at all on the same breath.
// ref: 15 to 30 cents out of silence, recorded harmonica notes show more (FluidR3 GM,
// program 22), Cottingham & Wolff, Vienna Talk 2015, the kind; the rest by ear. A window of 6
// ms and a period, just before the beat, sees it half closed.
func TestScoops(t *testing.T) {
	cases := []struct {
		tab         string
		from        float64 // seconds from the beat: after the hand-over where there is one
		least, most float64 // cents flat in the first window
	}{
		{"r 4--", -0.003, 12, 30}, {"r 9--", -0.003, 9, 30}, {"-4 4--", -0.003, 12, 30}, {"4 4--", -0.003, 3, 10}, {"5 4--", 0.012, 0, 5},
	}
	for _, c := range cases {
		h := hear(t, c.tab)
		n := h.score.Notes[len(h.score.Notes)-1]
		hz := n.Voices[0].Hz
		piece := measure.Cut(h.mono(), h.rate, n.Start+c.from, n.Start+0.2)
		points := measure.Track(piece, h.rate, 0.006, 0.004, hz*0.9, hz*1.1)
		flat := -measure.Cents(points[0].Hz, hz)
		assert.GreaterOrEqual(t, flat, c.least, c.tab)
		assert.LessOrEqual(t, flat, c.most, c.tab)
		assert.InDelta(t, 0, measure.Cents(points[len(points)-1].Hz, hz), 0.7, "%s: closed after 0.2 s", c.tab)
	}
}
