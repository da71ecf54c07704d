package reed

import (
	"math"

	"reedlark/synth/dsp"
)

// Attack is how a reed speaks: its strength climbs as 1 - e^(-t/Tau), quick at
// first, and its upper partials follow later.
type Attack struct {
	Tau float64 // seconds
	Lag float64 // seconds until the upper partials have come
	// Wait is how much later than the other reeds of a chord it speaks, seconds.
	Wait float64
}

// Attack times from a tenth to nine tenths by register.
// ref: recorded harmonica notes, 28 to 45 ms up to C5, 16 to 25 above, 12 to
// 17 periods below C4; overs 60 to 150 ms (common practice, no source).
const (
	attackLow     = 0.032 // seconds
	attackHigh    = 0.0185
	attackPeriods = 10.4 // of the tone itself; with its upper partials, 13.3
	attackOver    = 0.080
	attackBreath  = 0.012 // by ear: air needs no time to speak
	lowestFixed   = 254.2 // Hz, a quarter tone under C4
	highestLow    = 538.6 // Hz, a quarter tone over C5
)

// tenToNinety is the time of 1 - e^(-t/T) from a tenth to nine tenths: T·ln 9.
const tenToNinety = 2.1972245773362196

// lagShare is the lag of the upper partials in rise times.
// ref: recorded notes, half of it: 15 to 20 ms up to C5, 6 to 10 above.
const lagShare = 0.55

// wholeRise is how much longer the whole tone rises than its gain does, since the
// upper partials come later, 1.28 times, and a meter's window of two periods draws
// it out. by trial: a note of a tenth of a second at 120 Hz.
const wholeRise = 1.5

// NewAttack is the attack of a reed of hz that will sound for so many
// seconds. It is never longer than a third of the note.
func NewAttack(hz, seconds float64, over bool) Attack {
	return scaled(min(riseTime(hz, over), seconds/3/wholeRise))
}

// Scaled is an attack that takes so many times as long.
func (a Attack) Scaled(times float64) Attack {
	return Attack{Tau: a.Tau * times, Lag: a.Lag * times, Wait: a.Wait}
}

// BreathAttack is the attack of the noise, quicker than any reed's.
func BreathAttack() Attack { return scaled(attackBreath) }

func riseTime(hz float64, over bool) float64 {
	switch {
	case over:
		return attackOver
	case hz < lowestFixed:
		return attackPeriods / hz
	case hz < highestLow:
		return attackLow
	}
	return attackHigh
}

// scaled makes an attack of a rise time. The upper partials are half way
// there half a rise time or a little more after the tone itself, at Tau·ln 2.
func scaled(rise float64) Attack {
	tau := rise / tenToNinety
	return Attack{Tau: tau, Lag: 2 * (float64(tau*math.Ln2) + float64(lagShare*rise))}
}

// Span is when the attack is over, seconds.
func (a Attack) Span() float64 { return a.Wait + max(float64(dsp.Settled*a.Tau), a.Lag) }

// At is the strength, and how far the upper partials have come.
func (a Attack) At(t float64) (gain, bright float64) {
	t -= a.Wait
	return dsp.Rise(t / a.Tau), dsp.Smooth(t / a.Lag)
}

// heardAt is the level at which a listener takes a note to begin, re its
// steady level: -10 dB. ref: the threshold of J. Vos & R. Rasch, "The
// perceptual onset of musical tones", Perception & Psychophysics 29, 1981
// (6 to 15 dB under the maximum; from memory).
const heardAt = 0.31622776601683794

// MaxEarly is the most by which a voice starts before its beat, seconds.
const MaxEarly = 0.015

// Early is by how much a voice must start before its beat to be heard on it,
// at most MaxEarly.
func (a Attack) Early(f Facts) float64 {
	low, high := 0.0, MaxEarly
	for range 16 {
		mid := (low + high) / 2
		if gain, bright := a.At(mid); float64(gain*f.Plain.Level(bright, 1-bright)) < heardAt {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}
