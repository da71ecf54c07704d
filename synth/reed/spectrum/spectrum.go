// Package spectrum says how loud each partial of one harmonica reed is.
//
// The idea is source and filter. The reed chops the air into pulses, one a
// turn. Narrow pulses have partials of equal strength up to a corner, and 6 dB
// less per octave above it; because the tongue swings through its slot to both
// sides, the two halves of a turn are nearly alike and the even partials come
// out weak, the low ones most. That is the source: it goes by the number of
// the partial, so it moves with the pitch. Then the sound passes what stays
// put: the cavity of channel, mouth and hands, which helps at its quarter-wave
// resonance and three times that, and the roll-off of a small instrument near
// 7 kHz. Harder breath narrows the pulse, so the upper partials rise; a bend
// or an over rounds it, so they fall.
//
// Three numbers are fitted to recordings (the program in the directory fit
// does it again and says how well they foretell notes they have not seen). More
// numbers come closer to the fitted notes and no closer to others. Recordings
// of one reed differ from each other by more than the model from them: it is a
// likely reed, not any particular one.
package spectrum

import (
	"math"

	"reedlark/synth/dsp"
)

// Model is a reed and what surrounds it.
type Model struct {
	Even    float64 // weakness of the second partial, dB; the other even ones follow
	RollOff float64 // Hz, above 0, where the highest partials have lost 3 dB
	Cavity  float64 // gain of the cavity at its resonances, dB
}

// Fitted is the model the synthesizer plays.
// ref: least mean distance to the notes of testdata/recorded.txt, found by the
// program in the directory fit.
func Fitted() Model { return Model{Even: 9.24, RollOff: 8020, Cavity: 5.36} }

const (
	// corner is the number of the partial where the source begins to fall: air
	// that passes for a sixth of each turn, 1/(π·corner).
	// by ear: anything from 1 to 3 is as near to the recordings.
	corner = 2.0
	// cavityHz is the quarter-wave resonance c/4L of L = 50 mm of breath-warm
	// air, c = 350 m/s at 31 °C, and cavityQ its sharpness.
	// ref: c = 331.3 + 0.606 m/s per °C, Kinsler et al., Fundamentals of
	// Acoustics, from memory; by ear: the length, channel and front of the
	// mouth, and the sharpness, for 1.5 to 3 do as well.
	cavityHz, cavityQ = 350 / (4 * 0.050), 2.0
	// powerOctave is 10·log10(2): the decibels of a doubling of power.
	powerOctave = 3.010299956639812
)

// Levels gives the levels of partials 1 to n of a reed sounding at hz, in dB
// relative to the fundamental, which is 0. Any hz above 0 is allowed; the
// model is meant for 50 to 4000 Hz and partials up to 12 kHz.
func Levels(hz float64, n int, c Colour) []float64 { return Fitted().Levels(hz, n, c) }

// Levels is as the function of the same name, for any model.
func (m Model) Levels(hz float64, n int, c Colour) []float64 {
	levels := make([]float64, n)
	first, bright := m.level(hz, 1), c.brightness()
	for i := range levels {
		levels[i] = m.level(hz, i+1) - first + float64(bright*upper(i+1))
	}
	return levels
}

// level is that of partial k before any colour, dB.
func (m Model) level(hz float64, k int) float64 {
	f := float64(k) * hz
	falls := float64(powerOctave * dsp.Log2(pulse(k)*m.top(f)))
	return m.cavity(f) - falls - m.weakness(k)
}

// pulse is the loss of power of partial k at the source, 1 or more: 6 dB an
// octave above the corner.
func pulse(k int) float64 {
	x := float64(k) / corner
	return 1 + float64(x*x)
}

// weakness is what an even partial lacks, dB: less the higher it is, as the
// halves of a turn are alike in their course and not in their detail.
// ref: fit; the square root leaves 0.1 dB less distance in the mean than no
// decay or one by the number itself.
func (m Model) weakness(k int) float64 {
	if k%2 == 1 {
		return 0
	}
	return float64(m.Even * math.Sqrt(2/float64(k)))
}

// top is the loss of power at f Hz of a fourth-order roll-off, 1 or more.
// ref: fit; of the orders 2, 3 and 4 the one that leaves the least distance.
func (m Model) top(f float64) float64 {
	x := f / m.RollOff
	x2 := float64(x * x)
	x4 := float64(x2 * x2)
	return 1 + float64(x4*x4)
}

// cavity is the gain at f Hz of a tube open at one end, dB: its resonance and
// the one at three times the frequency, both equally wide in Hz.
// ref: the quarter-wave resonator, Kinsler et al., from memory.
func (m Model) cavity(f float64) float64 {
	return float64(m.Cavity * (resonance(f/cavityHz, cavityQ) + resonance(f/(3*cavityHz), 3*cavityQ)))
}

// resonance is 1 at x = 1, a frequency relative to the resonance's, and falls
// to either side the faster the greater q.
func resonance(x, q float64) float64 {
	off := q * (x - 1/x)
	return 1 / (1 + float64(off*off))
}
