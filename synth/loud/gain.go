package loud

import (
	"slices"

	"reedlark/synth/dsp"
)

// MaxPeakDB is the highest true peak a sound is given, by its bound, dBTP.
const MaxPeakDB = -1.2

// Gain is what a sound is multiplied by.
type Gain struct {
	Base  float64
	curve []float32 // at the entries of the estimate; nil where Base serves throughout
	rate  int
}

// Report is what is known of a sound before its first sample.
type Report struct {
	Loudness float64 // LUFS, integrated, of the whole file; -200 for silence
	Peak     float64 // dBTP, a bound of the true peak
	Gain     float64 // dB, before any gain curve
	Touched  float64 // part of the time in which the gain curve holds peaks down
	PeakWins bool    // the peak was kept and the loudness misses by over 0.5 LU
}

// The gain curve is the lowest gain allowed within reach entries, smoothed
// over as many: it moves within a twentieth of a second.
const reach = 5

// rounds is how often the base gain is raised to make up for what the curve
// takes away; mostMore bounds it, so that a peaky tune is not pressed flat.
const (
	rounds   = 8
	mostMore = 1.25 // times
	tooFar   = 0.5  // LU
)

// fit finds the gain that brings the sound to the wanted loudness in LUFS
// without passing MaxPeakDB.
func (l *estimate) fit(wanted float64) (Gain, Report) {
	if l.silent() {
		return Gain{Base: 1, rate: l.rate}, Report{Loudness: -200, Peak: -200}
	}
	base := dsp.Gain(wanted - l.loudness(unity))
	limit := dsp.Gain(MaxPeakDB)
	if high := l.highest() * base; high <= limit {
		return Gain{Base: base, rate: l.rate}, Report{Loudness: wanted, Peak: dsp.Decibels(high), Gain: dsp.Decibels(base)}
	}
	return l.fitUnder(limit, base, wanted)
}

func (l *estimate) fitUnder(limit, base, wanted float64) (Gain, Report) {
	gain := Gain{Base: base, rate: l.rate, curve: make([]float32, len(l.peak))}
	near, allowed := l.near(), make([]float64, len(l.peak))
	var got float64
	for round := 0; ; round++ {
		smooth(gain.curve, allow(allowed, near, limit, gain.Base))
		got = l.loudness(gain.entry)
		missing := wanted - got
		if round == rounds || missing <= 0.02 {
			break
		}
		gain.Base = min(gain.Base*dsp.Gain(missing), base*mostMore)
	}
	return gain, Report{
		Loudness: got, Peak: MaxPeakDB, Gain: dsp.Decibels(gain.Base),
		Touched: gain.touched(), PeakWins: wanted-got > tooFar,
	}
}

// near is at every entry the highest peak as far as the curve looks.
func (l *estimate) near() []float32 {
	out := make([]float32, len(l.peak))
	for i := range out {
		out[i] = slices.Max(l.peak[max(0, i-reach-1):min(i+reach+1, len(l.peak))])
	}
	return out
}

// allow is at every entry the highest gain, base at most, under which no peak near
// it passes the limit.
func allow(out []float64, near []float32, limit, base float64) []float64 {
	for i, p := range near {
		out[i] = base
		if p := float64(p); p*base > limit {
			out[i] = limit / p
		}
	}
	return out
}

// smooth is the mean of all within reach.
func smooth(out []float32, x []float64) {
	for i := range out {
		around := x[max(0, i-reach):min(i+reach+1, len(x))]
		sum := 0.0
		for _, v := range around {
			sum += v
		}
		out[i] = float32(sum / float64(len(around)))
	}
}

func (g Gain) touched() float64 {
	n := 0
	for _, v := range g.curve {
		if float64(v) < g.Base*0.9999 {
			n++
		}
	}
	return float64(n) / float64(len(g.curve))
}

func (g Gain) entry(i int) float64 {
	if g.curve == nil {
		return g.Base
	}
	return float64(g.curve[min(i, len(g.curve)-1)])
}

// at is the gain at a frame: straight lines between the entries.
func (g Gain) at(frame int64) float64 {
	x := float64(frame) * perSecond / float64(g.rate)
	i := int(x)
	a, b := g.entry(i), g.entry(i+1)
	return a + float64((b-a)*(x-float64(i)))
}

// Curve multiplies samples, the first of them at a frame, by the part of the
// gain that is not Base. It moves in straight lines between multiples of grain
// frames.
func (g Gain) Curve(x []float32, frame int64) {
	if g.curve == nil {
		return
	}
	for len(x) > 0 {
		into := frame % grain
		n := min(len(x), int(grain-into))
		a, b := g.at(frame-into)/g.Base, g.at(frame-into+grain)/g.Base
		for i := range x[:n] {
			x[i] *= float32(a + float64((b-a)*float64(into+int64(i))/grain))
		}
		x, frame = x[n:], frame+int64(n)
	}
}

// grain is in frames.
const grain = 64
