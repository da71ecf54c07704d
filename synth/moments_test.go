package synth

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
	"reedlark/tab/score"
)

// reeds are MIDI pitches from the lowest G harp to the highest F#, one in every
// stretch in which reeds are alike.
var reeds = []float64{43, 48, 53, 55, 59, 60, 64, 67, 71, 72, 74, 76, 79, 84, 88, 91, 96, 101}

// envelope is the running level of a note: over two periods, at least 4 ms.
func envelope(x []float64, midi float64) measure.Levels {
	return measure.Envelope(x, 48000, max(2/pitch(midi), 0.004), 0.0005)
}

// TestAttack holds the attack against times measured on recorded harmonica
// notes: 28 to 45 ms up to C5, 16 to 25 ms above, 12 to 17 periods below C4,
// the upper partials half of that later; a tenth within 5 ms of the first frame;
// -10 dB, which is heard as the start, on the beat from G3 up, and soon after below.
func TestAttack(t *testing.T) {
	for _, midi := range reeds {
		t.Run(fmt.Sprint(midi), func(t *testing.T) {
			hz := pitch(midi)
			s, err := prepare(tune(note(0.3, 0.8, midi)), dry, -40)
			require.NoError(t, err)
			x := channels(frames(t, s, 0, s.Frames()), dry)[0]
			env := envelope(x, midi)
			steady := env.Steady(0.7, 0.9)
			first := float64(blows(s)[0][0].First) / 48000
			assert.Less(t, env.Rise(0.2, steady/10)-first, 0.005, "a tenth")
			low, high := attackRange(midi)
			attack := env.Attack(0.2, steady)
			assert.Truef(t, attack >= low && attack <= high, "attack of %.1f ms, not %.1f to %.1f", 1e3*attack, 1e3*low, 1e3*high)
			lag := halfWay(x, midi, 3.5*hz, 20000) - halfWay(x, midi, 20, 3.5*hz)
			assert.InDelta(t, attack/2, lag, 0.22*attack, "lag of the upper partials")
			late := map[bool]float64{true: 0.003, false: 0.012}[midi >= 55]
			assert.InDelta(t, 0.3, env.Rise(0.2, steady*0.3162), late, "heard on the beat")
		})
	}
}

func attackRange(midi float64) (low, high float64) {
	switch {
	case midi < 60:
		return 12 / pitch(midi), 17 / pitch(midi)
	case midi <= 72:
		return 0.028, 0.045
	}
	return 0.016, 0.025
}

// halfWay is when a band of the note reaches half its level.
func halfWay(x []float64, midi, low, high float64) float64 {
	env := envelope(measure.Band(x, 48000, low, high), midi)
	return env.Rise(0.2, env.Steady(0.7, 0.9)/2)
}

// TestAttackOfAShortNote: an attack takes no more than a third of a note that is
// long enough to be measured over two periods.
func TestAttackOfAShortNote(t *testing.T) {
	for _, midi := range []float64{47, 53, 60, 67, 76} {
		for _, seconds := range []float64{0.1, 0.15, 0.2} {
			x := listen(t, tune(note(0.3, seconds, midi)), dry, -40)[0]
			env := envelope(x, midi)
			most := env.Steady(0.3+0.6*seconds, 0.3+0.7*seconds)
			assert.LessOrEqualf(t, env.Attack(0.2, most), seconds/3, "%v for %v s", midi, seconds)
		}
	}
}

// TestOver: overs take 60 to 150 ms, start on time and are thinner (common
// practice, no source).
func TestOver(t *testing.T) {
	n := note(0.3, 0.8, 75)
	n.Voices[0].Technique = score.Over
	over := listen(t, tune(n), dry, -40)[0]
	env := envelope(over, 75)
	steady := env.Steady(0.7, 0.9)
	attack := env.Attack(0.2, steady)
	assert.Truef(t, attack >= 0.06 && attack <= 0.15, "attack of %.1f ms", 1e3*attack)
	assert.InDelta(t, 0.3, env.Rise(0.2, steady*0.3162), 0.003)
	plain := listen(t, tune(note(0.3, 0.8, 75)), dry, -40)[0]
	assert.Less(t, brightness(over, 75), brightness(plain, 75)-3, "thinner")
}

// brightness is the level of the partials above the third against the first,
// dB, in the steady part of a note at 0.3 s.
func brightness(x []float64, midi float64) float64 {
	low, high := 0.0, 0.0
	for i, a := range measure.Partials(measure.Cut(x, 48000, 0.6, 0.9), 48000, pitch(midi), 12) {
		if i == 0 {
			low = a * a
		} else if i > 2 {
			high += a * a
		}
	}
	return 10 * math.Log10(high/low)
}

// TestAccent: louder is brighter, 10 dB of breath lift the partials above H3
// by 4 to 8 dB more (recorded notes).
func TestAccent(t *testing.T) {
	soft, hard := note(0.3, 0.8, 67), note(0.3, 0.8, 67)
	hard.Accent = 10
	a, b := listen(t, tune(soft), dry, quiet)[0], listen(t, tune(hard), dry, quiet)[0]
	lift := brightness(b, 67) - brightness(a, 67)
	assert.Truef(t, lift > 3 && lift < 9, "%.1f dB", lift)
}

// TestScoop: 15 to 30 cents flat after silence with a time constant of 20 ms
// low and 10 ms high, 10 tongued, at most 5 on one breath (R. Cottingham & D.
// Wolff, Vienna Talk 2015, for the kind).
func TestScoop(t *testing.T) {
	for _, c := range []struct {
		midi      float64
		onset     score.Onset
		low, high float64
	}{
		{60, score.FromSilence, 15, 30},
		{67, score.NewBreath, 15, 30},
		{88, score.FromSilence, 15, 30},
		{67, score.Tongued, 6, 11},
		{67, score.Legato, 0, 5},
		{67, score.Passed, 0, 5},
	} {
		n := note(0.3, 0.5, c.midi)
		n.Onset = c.onset
		s, err := prepare(tune(n), dry, quiet)
		require.NoError(t, err)
		tone := blows(s)[0][0]
		first := tone.Scoop.At(0)
		assert.Truef(t, -first >= c.low && -first <= c.high, "%v after %v: %.1f cents", c.midi, c.onset, first)
		x := measure.Cut(channels(frames(t, s, 0, s.Frames()), dry)[0], 48000, 0.29, 0.5)
		track := measure.Track(x, 48000, 0.012, 0.002, pitch(c.midi)*0.9, pitch(c.midi)*1.1)
		for i := 6; i < len(track); i++ {
			assert.LessOrEqual(t, measure.Cents(track[i].Hz, pitch(c.midi)), 1.5, "never sharp")
		}
	}
}

// TestBreath: noise 45 to 30 dB under the tone between 1 and 8 kHz, stronger in
// the first 50 ms (recorded notes).
func TestBreath(t *testing.T) {
	for _, midi := range reeds {
		with, without := listen(t, tune(note(0.3, 1, midi)), dry, -40)[0], listen(t, tune(note(0.3, 1, midi)), dry, quiet)[0]
		noise := make([]float64, len(with))
		same := measure.RMS(with) / measure.RMS(without)
		for i := range with {
			noise[i] = with[i] - without[i]*same
		}
		level := func(from, to float64) float64 {
			return measure.DB(measure.RMS(measure.Cut(noise, 48000, from, to)) / measure.RMS(measure.Cut(without, 48000, 0.7, 1.2)))
		}
		steady := level(0.7, 1.2)
		assert.Truef(t, steady > -45 && steady < -35, "%v: %.1f dB", midi, steady)
		early := level(0.31, 0.35)
		assert.Truef(t, early > steady+3 && early < -29, "%v: %.1f dB early", midi, early)
	}
}
