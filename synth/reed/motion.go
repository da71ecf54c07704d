package reed

import (
	"math"

	"reedlark/synth/dsp"
)

// Motion is what a shake does to a voice: vibrato, or taking turns with
// another. Its zero value does nothing.
type Motion struct {
	Kind Kind
	Hz   float64 // cycles a second
	Wait float64 // seconds a vibrato stays straight
	// Seed lets the rate and the depth of a vibrato wander; 0 for a steady one.
	Seed uint64
}

// Kind is a kind of motion.
type Kind uint8

// The kinds. First and Second are the two voices of a two-hole shake.
const (
	Still Kind = iota
	Vibrato
	First
	Second
)

// Sizes of the shakes. ref: common practice, no source, but for the rate:
// R. Timmers & P. Desain, "Vibrato: questions and answers from musicians and
// science", ICMPC 2000 (5.5 to 8 Hz).
const (
	vibratoHz    = 5.6
	vibratoCents = 26.0 // all of it below the pitch
	vibratoDB    = 4.0
	vibratoWait  = 0.20 // seconds straight
	vibratoGrow  = 0.40 // seconds of growing
	shakeHz      = 6.0  // cycles, so twelve notes a second
	shakeMaxHz   = 8.0
	shakeTurns   = 4.0   // cycles a short shake ought to have
	shakeHand    = 0.010 // seconds of hand-over
)

// NewVibrato is the vibrato of a note of so many seconds.
func NewVibrato(seconds float64) Motion {
	return Motion{Kind: Vibrato, Hz: vibratoHz, Wait: min(vibratoWait, seconds/4)}
}

// NewShake is the part of one of the two voices of a shake.
func NewShake(kind Kind, seconds float64) Motion {
	return Motion{Kind: kind, Hz: min(max(shakeHz, shakeTurns/seconds), shakeMaxHz)}
}

// At is what the motion adds to the pitch, cents, and the gain it leaves.
func (m Motion) At(t float64) (cents, gain float64) {
	switch m.Kind {
	case Vibrato:
		depth := m.depth(t - m.Wait)
		return -vibratoCents * depth, dsp.Gain(-vibratoDB * depth)
	case First, Second:
		return 0, m.turn(t)
	}
	return 0, 1
}

// sway is what a motion does at a time: cents added to the pitch, dB to the
// effort of a vibrato, and the part that a voice of a shake has.
type sway struct{ cents, db, part float64 }

func (m Motion) sway(t float64) sway {
	switch m.Kind {
	case Vibrato:
		depth := m.depth(m.wander(0, t-m.Wait, wanderTurns/m.Hz)) * (1 + m.wander(1, t, wanderDepth) - t)
		return sway{-vibratoCents * depth, -vibratoDB * depth, 1}
	case First, Second:
		return sway{part: m.turn(t)}
	}
	return sway{part: 1}
}

// How far the cycles of a vibrato wander: their turns, in cycles, and their depth.
// wanderKnot is the seconds from one hash to the next.
// ref: J. Diaz & H. Rothman, "Acoustical comparison between samples of good and
// poor vibrato in singers", Journal of Voice 17, 2003, for the kind; the standard
// deviation of the cycles is 2 to 5 %.
const (
	wanderKnot  = 0.31
	wanderTurns = 0.10
	wanderDepth = 0.09
)

// wander is a time moved by up to so much, in one of two ways.
func (m Motion) wander(layer uint64, t, most float64) float64 {
	if m.Seed == 0 || t < 0 {
		return t
	}
	k, x := knot(t / wanderKnot)
	h := func(k int64) float64 { return dsp.Triangle(dsp.Hash(m.Seed, uint64(k)<<1|layer)) }
	return t + float64(most*between(h(k), h(k+1), x))
}

// Sways is from when on a vibrato is about as deep as it gets, seconds, and then how
// far the pitch goes down in the mean, as a part of it.
func (m Motion) Sways() (from, depth float64) {
	return m.Wait + vibratoGrow/2, 1 - dsp.Exp2(-vibratoCents/2/1200)
}

func (m Motion) depth(t float64) float64 {
	if t <= 0 {
		return 0
	}
	return dsp.Smooth(t/vibratoGrow) * (1 - dsp.Cos(float64(m.Hz*t))) / 2
}

// turn is the strength of a voice that takes turns, the first beginning.
func (m Motion) turn(t float64) float64 {
	half := 0.5 / m.Hz
	count := math.Floor(t / half)
	x := (t - float64(count*half)) / shakeHand
	mine := (int(count)%2 == 0) == (m.Kind == First)
	switch {
	case count < 1 && mine:
		return 1
	case count < 1:
		return 0
	case mine:
		return dsp.FadeIn(x)
	}
	return dsp.FadeOut(x)
}
