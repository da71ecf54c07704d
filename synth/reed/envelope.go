package reed

import "reedlark/synth/dsp"

// Envelope is how the strength of a voice moves from its first frame to its
// last. Times are seconds since the voice began.
type Envelope struct {
	Attack Attack
	// HandOver is how long the voice takes over from the one before on the
	// same breath; 0 for an attack of its own.
	HandOver float64
	// Fall is how it ends: from FallAt, for FallFor seconds.
	FallAt, FallFor float64
	// Joined says the voice after takes over while this one falls, so that
	// the two powers add up to one.
	Joined bool
	// A fade (FadeFor > 0) lets the voice die away over FadeFor seconds.
	FadeAt, FadeFor float64
}

// At is the strength of the voice, and how far its upper partials have come
// (0 dark, 1 as they are).
func (e *Envelope) At(t float64) (gain, bright float64) {
	gain, bright = e.start(t)
	if t > e.FallAt {
		gain *= e.end((t - e.FallAt) / e.FallFor)
	}
	if e.FadeFor > 0 && t > e.FadeAt {
		gain *= square(dsp.FadeOut((t - e.FadeAt) / e.FadeFor))
	}
	return gain, bright
}

func (e *Envelope) start(t float64) (gain, bright float64) {
	if e.HandOver > 0 {
		return dsp.FadeIn(t / e.HandOver), 1
	}
	return e.Attack.At(t)
}

func (e *Envelope) end(x float64) float64 {
	out := dsp.FadeOut(x)
	if e.Joined {
		return out
	}
	return square(out)
}

// Calm is the time in which the strength does not move.
func (e *Envelope) Calm() (from, to float64) {
	from = e.HandOver
	if from == 0 {
		from = e.Attack.Span()
	}
	to = e.FallAt
	if e.FadeFor > 0 {
		to = min(to, e.FadeAt)
	}
	return from, to
}

func square(x float64) float64 { return float64(x * x) }
