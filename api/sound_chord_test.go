package api_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
)

// The blow third of holes 4 and 5 beats 20.8 times a second in equal temperament and
// not at all in just intonation: the fifth partial of the one meets the fourth of
// the other. ref: 4 · 659.255 - 5 · 523.251 = 20.77 (MIDI Tuning Standard); 5/4 in just.
func TestThirdBeats(t *testing.T) {
	for tuning, want := range map[string]float64{"equal": 20.77, "just": 0} {
		h := hear(t, "45--------", "tuning", tuning)
		beat := measure.Beating(h.steady(h.score.Notes[0]), h.rate, 5*hertz(72), 60)
		if want == 0 {
			assert.Less(t, beat.Depth, 0.05, "nothing swells")
			continue
		}
		assert.InDelta(t, want, beat.Hz, 0.1)
		assert.Greater(t, beat.Depth, 0.2, "and it is heard")
	}
}

// Just intonation by the beats of whole chords: 1-2-3 blow is 4:5:6 and draw 2-3-4-5
// is 4:5:6:7, so that no pair of neighbours beats.
// ref: as published by harmonica tuners; the ratios are the arithmetic.
func TestJustChordsDoNotBeat(t *testing.T) {
	for _, tab := range []string{"123--------", "-2345--------"} {
		for tuning, still := range map[string]bool{"just": true, "equal": false} {
			h := hear(t, tab, "tuning", tuning)
			n := h.score.Notes[0]
			most := 0.0
			for i := range n.Voices[1:] {
				centre, _ := measure.Coincidence(n.Voices[i].Hz, n.Voices[i+1].Hz)
				require.NotZero(t, centre)
				most = max(most, measure.Beating(h.steady(n), h.rate, centre, 50).Depth)
			}
			assert.Equal(t, still, most < 0.05, "%s in %s swells by %.2f", tab, tuning, most)
		}
	}
}

// Draw 5 of a C harp in just intonation is 21/16 of its tonic at equal pitch, 686.767 Hz.
func TestJustSeventh(t *testing.T) {
	h := hear(t, "-5----", "tuning", "just")
	assert.InDelta(t, 686.767, measure.Pitch(h.steady(h.score.Notes[0]), h.rate), 0.2)
}

// Every reed of a chord is there, in tune, each about 3 dB softer than alone.
// ref: two reeds on one breath, common practice, no source.
func TestPartialsOfAChord(t *testing.T) {
	chord := hear(t, "4----- r 5----- r 6----- r 456----- r", "tempo", "120", "loudness", "-24")
	all := chord.score.Notes[3]
	lines := measure.Spectrum(chord.steady(all), chord.rate, -90)
	for i, n := range chord.score.Notes[:3] {
		want := hertz(60 + blow[i+3])
		alone := strength(measure.Spectrum(chord.steady(n), chord.rate, -90), want)
		together := strength(lines, want)
		assert.InDelta(t, 0, measure.Cents(together.Hz, want), 2, n.Text)
		assert.InDelta(t, -4.8, measure.DB(together.Amplitude/alone.Amplitude), 2.5, "%s among three", n.Text)
	}
}

// strength is the strongest line within a quarter tone of hz.
func strength(lines []measure.Line, hz float64) measure.Line {
	best := measure.Line{Hz: hz, Amplitude: 1e-9}
	for _, l := range lines {
		if math.Abs(measure.Cents(l.Hz, hz)) < 50 && l.Amplitude > best.Amplitude {
			best = l
		}
	}
	return best
}

// A vibrato swings 5 to 7 times a second by 15 to 50 cents, all of it below the pitch.
// ref: Timmers & Desain, ICMPC 2000, for the rate; else common practice, no source.
func TestVibratoOfAHole(t *testing.T) {
	h := hear(t, "-4~--------")
	n := h.score.Notes[0]
	hz := n.Voices[0].Hz
	straight := measure.Cut(h.mono(), h.rate, n.Start+0.10, n.Start+0.16)
	assert.InDelta(t, 0, measure.Cents(measure.Pitch(straight, h.rate), hz), 3, "straight at first")
	swinging := measure.Cut(h.mono(), h.rate, n.Start+1, n.Start+4)
	points := measure.Track(swinging, h.rate, 0.012, 0.005, hz*0.9, hz*1.1)
	w := measure.Vibrato(points)
	assert.GreaterOrEqual(t, w.Hz, 5.0)
	assert.LessOrEqual(t, w.Hz, 7.0)
	assert.GreaterOrEqual(t, w.Cents, 15.0)
	assert.LessOrEqual(t, w.Cents, 50.0)
	for _, p := range points {
		assert.Less(t, measure.Cents(p.Hz, hz), 2.0, "never above the pitch")
	}
}

// A shake of two holes takes turns 5 to 8 times a second, without gaps.
// ref: common practice, no source.
func TestShakeOfTwoHoles(t *testing.T) {
	h := hear(t, "45~--------")
	n := h.score.Notes[0]
	turn := measure.Cut(h.mono(), h.rate, n.Start+0.5, n.Start+4)
	points := measure.Track(turn, h.rate, 0.012, 0.005, hertz(70), hertz(79))
	w := measure.Vibrato(points)
	assert.GreaterOrEqual(t, w.Hz, 5.0)
	assert.LessOrEqual(t, w.Hz, 8.0)
	env := h.envelope(hertz(72))
	steady := env.Steady(n.Start+0.5, n.Start+4)
	for t0 := n.Start + 0.5; t0 < n.Start+4; t0 += 0.002 {
		require.Less(t, math.Abs(measure.DB(env.At(t0)/steady)), 6.0, "no gap at %.3f s", t0)
	}
}

// Filler in brackets is 9 dB softer by an ear's weighting, within 2.
func TestSoftBrackets(t *testing.T) {
	h := hear(t, "4--- (4---) r", "metre", "4/4")
	loud := measure.Momentary([][]float64{h.steady(h.score.Notes[0])}, h.rate)
	soft := measure.Momentary([][]float64{h.steady(h.score.Notes[1])}, h.rate)
	assert.InDelta(t, -9, soft-loud, 2)
}
