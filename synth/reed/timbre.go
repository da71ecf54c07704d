package reed

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/reed/spectrum"
)

// Timbre is all a table depends on.
type Timbre struct {
	Hz       float64 // of the first partial
	Partials int     // 1 to MaxPartials
	Rate     int     // frames a second; the level a meter reads depends on it
	Colour   spectrum.Colour
}

// The reach of the partials: nothing above TopHz or Nyquist·0.9 is sounded.
// ref: the recorded notes the spectrum is fitted to have partials up to 13.2
// kHz; 0.45 of the rate leaves the interpolation clean.
const (
	TopHz       = 13500
	TopOfRate   = 0.45
	MaxPartials = 128
)

// taper is from where on, as a part of the reach, the partials fade, so that
// the comb of a low reed thins out and has no edge. by ear: from 12 kHz.
const taper = 12.0 / 13.5

// reach is the highest frequency of a partial, Hz.
func reach(rate int) float64 { return min(TopHz, TopOfRate*float64(rate)) }

// Partials is how many harmonics a voice has that goes up to hz.
func Partials(hz float64, rate int) int {
	return int(min(max(math.Floor(reach(rate)/hz), 1), MaxPartials))
}

// Line is one partial.
type Line struct {
	Hz        float64
	Amplitude float64 // peak
	Weight    float64 // by how much a loudness meter raises its power
}

// Power is the power of the line as a loudness meter weighs it.
func (l Line) Power() float64 { return float64(l.Amplitude * l.Amplitude * l.Weight / 2) }

// Lines are the partials H1, H2 …, scaled so that the tone's power, weighted
// as by a loudness meter, is 1.
func (t Timbre) Lines() []Line {
	weighting := dsp.NewWeighting(float64(t.Rate))
	lines := make([]Line, t.Partials)
	power, top := 0.0, reach(t.Rate)
	for i, db := range spectrum.Levels(t.Hz, t.Partials, t.Colour) {
		hz := float64(i+1) * t.Hz
		fade := dsp.FadeOut((hz/top - taper) / (1 - taper))
		lines[i] = Line{Hz: hz, Amplitude: fade * dsp.Gain(db), Weight: weighting.Power(hz / float64(t.Rate))}
		power += lines[i].Power()
	}
	scale := 1 / math.Sqrt(power)
	for i := range lines {
		lines[i].Amplitude *= scale
	}
	return lines
}
