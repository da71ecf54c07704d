package synth

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// TestTongued: a repeated note is heard as two, the level dips by far more
// than 10 dB; its release takes 5 to 15 ms and ends the gap before the next.
func TestTongued(t *testing.T) {
	for _, midi := range []float64{55, 60, 67, 72, 76, 84, 96} {
		for _, gap := range []float64{0.015, 0.025, 0.04} {
			a := note(0.3, 0.5, midi)
			b := then(&a, score.Tongued, gap, 0.5, midi)
			x := listen(t, tune(a, b), dry, -40)[0]
			env := measure.Envelope(x, 48000, 0.006, 0.0005)
			dip := env.Dip(0.7, 1.1)
			assert.Greaterf(t, dip.Depth, 10.0, "%v, gap of %v s", midi, gap)
			assert.InDelta(t, 0.8-gap/2, dip.At, 0.03)
			if midi >= 72 {
				steady := env.Steady(0.5, 0.7)
				release := env.Fall(0.7, 0.1*steady) - env.Fall(0.7, 0.9*steady)
				assert.Truef(t, release > 0.005 && release < 0.015, "release of %.1f ms", 1e3*release)
				assert.InDelta(t, 0.8-gap, env.Fall(0.7, 0.1*steady), 0.006, "silent when the gap begins")
			}
		}
	}
}

// TestBreathChange: the gap of a change of breath is silent, and the release
// before it takes 20 to 30 ms.
func TestBreathChange(t *testing.T) {
	for _, gap := range []float64{0.02, 0.04, 0.06} {
		a := note(0.3, 0.6, 72)
		x := listen(t, tune(a, then(&a, score.NewBreath, gap, 0.5, 74)), dry, -40)[0]
		env := measure.Envelope(x, 48000, 0.004, 0.0005)
		steady := env.Steady(0.5, 0.7)
		release := env.Fall(0.7, 0.1*steady) - env.Fall(0.7, 0.9*steady)
		assert.Truef(t, release > 0.020 && release < 0.030, "release of %.1f ms", 1e3*release)
		assert.Less(t, env.At(0.9-gap+0.003), 0.02*steady, "silent in the gap")
		assert.InDelta(t, 0.9, env.Rise(0.9-gap+0.003, 0.3162*steady), 0.003)
	}
}

// TestShortNotesKeepTheirTime: gap and release together take at most a quarter of a
// short note, from 90 % of its level to the next note's beat.
func TestShortNotesKeepTheirTime(t *testing.T) {
	for _, seconds := range []float64{0.25, 0.125, 0.09, 0.0625, 0.0375} {
		for onset, longest := range map[score.Onset]float64{score.NewBreath: 0.035, score.Tongued: 0.025} {
			gap := min(longest, seconds/6, seconds/4-0.008)
			a := note(0.3, seconds, 84)
			b := then(&a, onset, gap, 0.5, 84)
			env := measure.Envelope(listen(t, tune(a, b), dry, quiet)[0], 48000, 0.003, 0.0005)
			steady := env.At(0.3 + seconds/2)
			lost := 0.3 + seconds - env.Fall(0.3+seconds/2, 0.9*steady)
			assert.Lessf(t, lost, seconds/4+0.002, "%v s, onset %v", seconds, onset)
			assert.Less(t, env.At(0.3+seconds-gap/2), 0.3*steady, "and it is heard to end")
		}
	}
}

// TestReleaseIntoRest: the note before a rest is gone when its time is over,
// and so is all of it 0.1 s later, 100 dB down.
func TestReleaseIntoRest(t *testing.T) {
	x := listen(t, tune(note(0.3, 0.6, 64), note(2, 0.5, 64)), dry, -40)[0]
	steady := measure.RMS(measure.Cut(x, 48000, 0.6, 0.8))
	assert.Less(t, measure.RMS(measure.Cut(x, 48000, 0.905, 1.9)), 1e-5*steady)
}

// TestLegato: one breath, a hand-over of 8 to 15 ms: no gap, no swell, the new
// pitch on its beat.
func TestLegato(t *testing.T) {
	for _, onset := range []score.Onset{score.Legato, score.Passed} {
		a := note(0.3, 0.5, 72)
		x := listen(t, tune(a, then(&a, onset, 0, 0.5, 76)), dry, quiet)[0]
		env := measure.Envelope(x, 48000, 0.006, 0.0005)
		for at := 0.76; at < 0.85; at += 0.001 {
			assert.InDelta(t, 0, measure.DB(env.At(at)/env.At(0.7)), 2.5, "level at %v", at)
		}
		old := measure.Envelope(measure.Band(x, 48000, 400, 590), 48000, 0.004, 0.0005)
		next := measure.Envelope(measure.Band(x, 48000, 590, 750), 48000, 0.004, 0.0005)
		assert.Less(t, old.At(0.82), 0.1*old.At(0.7))
		assert.Less(t, next.At(0.79), 0.12*next.At(1))
		assert.InDelta(t, 0.8, next.Rise(0.75, 0.3162*next.At(1)), 0.004)
	}
}

// TestHandOverTravels: 8 to 15 ms, whether all of it is meant or what lies between
// a tenth and nine tenths, longer the farther apart the holes are (common
// practice, no source).
func TestHandOverTravels(t *testing.T) {
	before := 0.0
	for _, midi := range []float64{62, 67, 72, 84, 96} {
		a := note(0.3, 0.5, 60)
		b := then(&a, score.Legato, 0, 0.5, midi)
		x := listen(t, tune(a, b), dry, quiet)[0]
		low := measure.Envelope(measure.Band(x, 48000, 250, 272), 48000, 0.002, 0.0005)
		s, err := prepare(tune(a, b), dry, quiet)
		require.NoError(t, err)
		next := blows(s)[1][0].Envelope
		took := next.HandOver
		assert.Truef(t, took >= 0.008 && took <= 0.015 && took > before || took == 0.015, "%v in %v s", midi, took)
		assert.Less(t, low.At(0.86), 0.1*low.At(0.6), "the old note is gone")
		middle := passes(next, 0.9) - passes(next, 0.1)
		assert.Truef(t, middle >= 0.008 && middle <= 0.015, "%v: a tenth to nine tenths in %v s", midi, middle)
		before = took
	}
}

// passes is when a voice first has a strength, seconds.
func passes(e reed.Envelope, strength float64) float64 {
	for t := 0.0; ; t += 1e-5 {
		if gain, _ := e.At(t); gain >= strength || t > 1 {
			return t
		}
	}
}

// TestPassedHoles: the holes passed in a slide sound one after the other, each
// for its time, neighbours overlapping.
func TestPassedHoles(t *testing.T) {
	notes := []score.Note{note(0.3, 0.5, 72)}
	for _, midi := range []float64{76, 79, 84} {
		notes = append(notes, then(&notes[len(notes)-1], score.Passed, 0, 0.04, midi))
	}
	notes[3].Seconds = 0.5
	x := listen(t, tune(notes...), dry, quiet)[0]
	for i, midi := range []float64{76, 79} {
		at := 0.8 + 0.04*(float64(i)+0.6)
		got := measure.Pitch(measure.Cut(x, 48000, at-0.022, at+0.022), 48000)
		assert.InDelta(t, 0, measure.Cents(got, pitch(midi)), 60, fmt.Sprint(midi))
	}
}

// glide is one voice that goes from one pitch to another.
func glide(start, seconds, from, to, takes float64) score.Note {
	n := note(start, seconds, to)
	n.Voices[0].FromHz, n.Voices[0].GlideSeconds = pitch(from), takes
	return n
}

// TestGlide: an S-shaped path in cents, one way only, sampled every 10 ms.
func TestGlide(t *testing.T) {
	a := note(0.3, 0.4, 71)
	b := glide(0.7, 0.2, 71, 68, 0.2)
	b.Onset = score.Tied
	c := note(0.9, 0.5, 68)
	c.Onset = score.Tied
	for i, n := range []*score.Note{&a, &b, &c} {
		n.Voices[0].ReedHz = pitch(71)
		if i > 0 {
			n.Voices[0].Technique = score.Bend
		}
	}
	s, err := prepare(tune(a, b, c), dry, quiet)
	require.NoError(t, err)
	require.Len(t, blows(s), 1, "one voice throughout")
	x := measure.Cut(channels(frames(t, s, 0, s.Frames()), dry)[0], 48000, 0.5, 1.3)
	before := math.Inf(1)
	for _, p := range measure.Track(x, 48000, 0.015, 0.01, pitch(66), pitch(73)) {
		cents := measure.Cents(p.Hz, pitch(68))
		assert.LessOrEqual(t, cents, before+2, "turns back")
		before = cents
		way := min(max((p.Seconds+0.5-0.7)/0.2, 0), 1)
		assert.InDelta(t, 300*(1-way*way*(3-2*way)), cents, 12, "at %v", p.Seconds+0.5)
	}
	env := measure.Envelope(x, 48000, 0.02, 0.001)
	dip := measure.DB(env.At(0.3) / env.At(0.1))
	assert.Truef(t, dip < -1 && dip > -3.5, "dips %.1f dB where the second reed takes over", dip)
}

// TestBentIsDuller: 3 to 6 dB up high (common practice, no source).
func TestBentIsDuller(t *testing.T) {
	bent, plain := note(0.3, 0.8, 68), note(0.3, 0.8, 68)
	bent.Voices[0].ReedHz, bent.Voices[0].Technique = pitch(71), score.Bend
	a, b := listen(t, tune(bent), dry, quiet)[0], listen(t, tune(plain), dry, quiet)[0]
	loss := brightness(b, 68) - brightness(a, 68)
	assert.Truef(t, loss > 2.5 && loss < 6.5, "%.1f dB", loss)
}

// TestBendIsNotLouder: held, a bend of any depth is no louder than its reed, by
// its power and to a meter, and at most 3 dB softer (common practice, no source).
func TestBendIsNotLouder(t *testing.T) {
	for _, midi := range []float64{62, 67, 71, 74, 81, 88, 96} {
		for depth := range 3 {
			plain, bent := note(0.3, 0.8, midi), note(1.6, 0.8, midi-1-float64(depth))
			bent.Voices[0].ReedHz, bent.Voices[0].Technique = pitch(midi), score.Bend
			x := listen(t, tune(plain, bent), dry, quiet)[0]
			reed, held := measure.Cut(x, 48000, 0.6, 1), measure.Cut(x, 48000, 1.9, 2.3)
			power := measure.DB(measure.RMS(held) / measure.RMS(reed))
			heard := measure.Momentary([][]float64{held}, 48000) - measure.Momentary([][]float64{reed}, 48000)
			assert.Truef(t, max(power, heard) <= 0 && min(power, heard) > -3, "%v bent by %d: %.2f dB, %.2f LU", midi, depth+1, power, heard)
		}
	}
}

// TestLetGo: a bent grace goes on into its louder note without a break: the
// pitch climbs, and so does the level, with no gap and no bump.
func TestLetGo(t *testing.T) {
	grace, plain := note(0.3, 0.07, 70), note(0.37, 0.8, 71)
	grace.Gain = -9
	grace.Voices[0].ReedHz, grace.Voices[0].Technique = pitch(71), score.Bend
	plain.Voices[0].FromHz, plain.Voices[0].GlideSeconds, plain.Onset = pitch(70), 0.07, score.Tied
	s, err := prepare(tune(grace, plain, note(1.6, 0.8, 71)), dry, quiet)
	require.NoError(t, err)
	require.Len(t, blows(s), 2, "one voice throughout, and another to compare it with")
	env := measure.Envelope(channels(frames(t, s, 0, s.Frames()), dry)[0], 48000, 0.012, 0.001)
	steady, before := env.Steady(2.1, 2.3), -14.0
	for at := 0.36; at < 0.45; at += 0.01 {
		level := measure.DB(env.At(at) / steady)
		assert.Truef(t, level < 0.3 && level > before-0.5, "%.1f dB at %v", level, at)
		before = level
	}
	assert.InDelta(t, 0, measure.DB(env.At(0.5)/steady), 0.3)
}

// TestColourOfWhatGoesOn: where one sound goes on into a louder note, its upper
// partials come in as smoothly as all of it, whether its pitch moves or not.
func TestColourOfWhatGoesOn(t *testing.T) {
	for _, from := range []float64{70, 71} {
		first, next := note(0.3, 0.4, from), note(0.7, 0.8, 71)
		first.Gain, next.Accent, next.Onset = -9, 1.5, score.Tied
		if from < 71 {
			first.Voices[0].ReedHz, first.Voices[0].Technique = pitch(71), score.Bend
			next.Voices[0].FromHz, next.Voices[0].GlideSeconds = pitch(from), 0.07
		}
		x := listen(t, tune(first, next), dry, quiet)[0]
		env := measure.Envelope(measure.Band(x, 48000, 2500, 12000), 48000, 0.005, 0.0005)
		for at := 0.66; at < 0.8; at += 0.004 {
			assert.InDeltaf(t, 0, measure.DB(env.At(at+0.004)/env.At(at)), 2.2, "from %v, at %v", from, at)
		}
		before, after := env.Steady(0.685, 0.695), env.Steady(0.702, 0.706)
		assert.InDelta(t, 0, measure.DB(after/before), 0.7, "from %v: no step where the note begins", from)
	}
}

// TestShake: two holes take turns 5 to 8 times a second and one voice is heard
// at a time.
func TestShake(t *testing.T) {
	for _, seconds := range []float64{0.5, 2} {
		n := note(0.3, seconds, 72, 76)
		n.Shake = true
		x := listen(t, tune(n), dry, quiet)[0]
		env := measure.Envelope(measure.Band(x, 48000, 400, 590), 48000, 0.008, 0.001)
		turns := 0
		high := env.Steady(0.35, 0.38)
		for at := 0.36; !math.IsNaN(at) && at < 0.3+seconds; {
			if at = env.Fall(at, high/2); !math.IsNaN(at) && at < 0.29+seconds {
				turns++
				at = env.Rise(at, high/2)
			}
		}
		rate := float64(turns) / seconds
		assert.Truef(t, rate >= 5 && rate <= 8.1, "%.1f turns a second in %v s", rate, seconds)
	}
}

// TestVibrato: 5 to 7 Hz, 15 to 50 cents, all of it below the pitch, 3 to 8 dB,
// straight for 150 to 300 ms (common practice; the rate: R. Timmers & P. Desain,
// ICMPC 2000).
func TestVibrato(t *testing.T) {
	n := note(0.3, 3, 72)
	n.Shake = true
	x := listen(t, tune(n), dry, quiet)[0]
	track := measure.Track(measure.Cut(x, 48000, 1.2, 3.1), 48000, 0.02, 0.005, pitch(71), pitch(73))
	w := measure.Vibrato(track)
	assert.Truef(t, w.Hz > 5 && w.Hz < 7, "%+v", w)
	assert.Truef(t, w.Cents > 15 && w.Cents < 50, "%+v", w)
	least, most := math.Inf(1), 0.0
	for _, p := range track {
		least, most = min(least, p.Level), max(most, p.Level)
	}
	assert.Truef(t, most/least > 1.41 && most/least < 2.5, "the level swings by %.1f dB", measure.DB(most/least))
	for _, p := range measure.Track(measure.Cut(x, 48000, 0.3, 3.2), 48000, 0.02, 0.01, pitch(71), pitch(73)) {
		assert.Less(t, measure.Cents(p.Hz, pitch(72)), 1.0)
	}
	straight := measure.Pitch(measure.Cut(x, 48000, 0.42, 0.5), 48000)
	assert.InDelta(t, 0, measure.Cents(straight, pitch(72)), 1.5)
}

// TestFade: a fall dies away over its length.
func TestFade(t *testing.T) {
	a := note(0.3, 0.5, 72)
	b := glide(0.8, 0.2, 72, 70, 0.2)
	b.Onset, b.Fades = score.Tied, true
	env := measure.Envelope(listen(t, tune(a, b), dry, quiet)[0], 48000, 0.01, 0.001)
	assert.InDelta(t, 1, env.At(0.8)/env.At(0.7), 0.1)
	assert.Less(t, env.At(0.9), 0.7*env.At(0.7))
	assert.Less(t, env.At(0.97), 0.15*env.At(0.7))
}

// TestSoft: soft is as many dB down as the score says, by a meter's weighting (ITU-R
// BS.1770), and less breath is duller: 4 to 8 dB for every 10 above the third partial
// (recorded notes).
func TestSoft(t *testing.T) {
	for _, midi := range []float64{55, 67, 72, 79} {
		a, b := note(0.3, 0.8, midi), note(0.3, 0.8, midi)
		b.Gain = -9
		x := listen(t, tune(a, later(b, 2)), dry, quiet)[0]
		loud, soft := measure.Cut(x, 48000, 0, 1.3), measure.Cut(x, 48000, 2, 3.3)
		meter := func(x []float64) float64 {
			return measure.Integrated([][]float64{measure.Cut(x, 48000, 0.5, 1)}, 48000)
		}
		assert.InDelta(t, -9, meter(soft)-meter(loud), 0.1, "%v", midi)
		duller := (brightness(loud, midi) - brightness(soft, midi)) / 0.9
		assert.Truef(t, duller > 4 && duller < 8, "%v: %.1f dB for 10 dB", midi, duller)
	}
}

// later is a note some seconds later.
func later(n score.Note, seconds float64) score.Note {
	n.Start += seconds
	return n
}

// TestChordShares: two reeds on one breath are each about 3 dB softer.
func TestChordShares(t *testing.T) {
	x := listen(t, tune(note(0.3, 1, 72), note(1.6, 1, 72, 79)), dry, quiet)[0]
	alone := measure.Partials(measure.Cut(x, 48000, 0.7, 1.2), 48000, pitch(72), 1)[0]
	shared := measure.Partials(measure.Cut(x, 48000, 2, 2.5), 48000, pitch(72), 1)[0]
	assert.InDelta(t, -3, measure.DB(shared/alone), 0.2)
}
