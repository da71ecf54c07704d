package reed

import "reedlark/synth/dsp"

// Scoop is how flat a reed starts: Cents below, closing as e^(-t/Tau).
type Scoop struct{ Cents, Tau float64 }

// Depths of scoops, cents. ref: 15 to 30 after silence or a change of breath;
// R. Cottingham & D. Wolff, Vienna Talk 2015, for the kind; 10 on a tongued
// repeat, at most 5 inside one breath, at most 15 into a held bend (by ear).
const (
	ScoopLow      = 27.0 // after silence, reeds up to C5
	ScoopHigh     = 20.0 // after silence, above
	ScoopTongued  = 10.0
	ScoopLegato   = 4.0
	ScoopHeldBend = 12.0
)

// NewScoop is a scoop of so many cents on a reed of hz.
// ref: time constants of 20 ms low and 10 ms high (recorded notes).
func NewScoop(hz, cents float64) Scoop {
	if hz < highestLow {
		return Scoop{Cents: cents, Tau: 0.020}
	}
	return Scoop{Cents: cents, Tau: 0.010}
}

// ScoopFromRest is how flat a reed of hz starts out of silence.
func ScoopFromRest(hz float64) float64 {
	if hz < highestLow {
		return ScoopLow
	}
	return ScoopHigh
}

// Span is when the scoop is closed, seconds.
func (s Scoop) Span() float64 {
	if s.Cents == 0 {
		return 0
	}
	return float64(dsp.Settled * s.Tau)
}

// At is the deviation in cents, never above 0.
func (s Scoop) At(t float64) float64 {
	if t >= s.Span() {
		return 0
	}
	return float64(s.Cents * (dsp.Rise(t/s.Tau) - 1))
}
