package measure

import (
	"math"
	"math/cmplx"
)

// Line is one partial tone of a sound.
type Line struct {
	Hz        float64
	Amplitude float64 // of the sine, 1 at full scale
}

// frame is the windowed transform of a stretch, zero-padded four times.
type frame struct {
	bins  []complex128
	width float64 // hertz between bins
	scale float64 // from a bin's magnitude to a sine's amplitude
	real  float64 // hertz between the bins of the stretch without padding
	rate  float64
}

// newFrame windows x with the four-term Blackman-Harris window, whose side lobes
// lie 92 dB down.
// ref: Harris, On the use of windows, Proc. IEEE 66(1), 1978, table 1.
func newFrame(x []float64, rate int) *frame {
	n := powerOfTwo(4 * len(x))
	y := make([]float64, len(x))
	sum := 0.0
	for i := range x {
		w := blackmanHarris(float64(i) / float64(len(x)))
		y[i] = x[i] * w
		sum += w
	}
	return &frame{
		bins: transform(y, n), width: float64(rate) / float64(n), scale: 2 / sum,
		real: float64(rate) / float64(len(x)), rate: float64(rate),
	}
}

func blackmanHarris(t float64) float64 {
	t *= 2 * math.Pi
	return 0.35875 - 0.48829*math.Cos(t) + 0.14128*math.Cos(2*t) - 0.01168*math.Cos(3*t)
}

// amplitude of the sine a bin would show.
func (f *frame) amplitude(i int) float64 { return cmplx.Abs(f.bins[i]) * f.scale }

// harmonics are the lines of partials 1 to n of a fundamental, as far as there
// is room for them. A partial that is not there has amplitude 0.
func (f *frame) harmonics(f0 float64, n int) []Line {
	lines := make([]Line, 0, n)
	for k := 1; k <= n && float64(k)*f0 < f.rate/2-4*f.real; k++ {
		hz := float64(k) * f0
		lines = append(lines, f.peak(hz, max(1.5*f.real, hz*0.012))) // 20 cents
	}
	return lines
}

// peak is the highest local peak within reach hertz of hz, between the bins.
func (f *frame) peak(hz, reach float64) Line {
	lo := max(int((hz-reach)/f.width), 1)
	hi := min(int((hz+reach)/f.width)+1, len(f.bins)-2)
	best := 0
	for i := lo; i <= hi; i++ {
		here := f.amplitude(i)
		if here >= f.amplitude(i-1) && here >= f.amplitude(i+1) && (best == 0 || here > f.amplitude(best)) {
			best = i
		}
	}
	if best == 0 {
		return Line{Hz: hz}
	}
	return f.between(best)
}

// between is the line at a local peak, by the parabola through its logarithms.
func (f *frame) between(i int) Line {
	log := func(i int) float64 { return math.Log(f.amplitude(i) + 1e-15) }
	at, height := vertex(log(i-1), log(i), log(i+1))
	return Line{Hz: (float64(i) + at) * f.width, Amplitude: math.Exp(height)}
}

// Spectrum is every line of x above a floor in dB of full scale, from low to high.
func Spectrum(x []float64, rate int, floor float64) []Line {
	f := newFrame(x, rate)
	var lines []Line
	for i := 1; i < len(f.bins)-1; i++ {
		here := f.amplitude(i)
		if here > f.amplitude(i-1) && here >= f.amplitude(i+1) && DB(here) >= floor {
			lines = append(lines, f.between(i))
		}
	}
	return lines
}

// Partials are the amplitudes of partials 1 to n of a known fundamental in a
// steady stretch; 0 for those beyond half the rate. A stretch of eight periods
// or more keeps neighbours apart.
func Partials(x []float64, rate int, f0 float64, n int) []float64 {
	levels := make([]float64, n)
	for i, l := range newFrame(x, rate).harmonics(f0, n) {
		levels[i] = l.Amplitude
	}
	return levels
}

// Foreign is the strongest line further than 8 bins (8 hertz for a stretch of
// one second) from every harmonic of the fundamentals and from 0, and its level in
// dB under the strongest line of all.
func Foreign(x []float64, rate int, fundamentals ...float64) (Line, float64) {
	f := newFrame(x, rate)
	top, foreign := 0.0, 0
	for i := 1; i < len(f.bins)-1; i++ {
		top = max(top, f.amplitude(i))
		if f.amplitude(i) > f.amplitude(foreign) || foreign == 0 {
			if !f.native(float64(i)*f.width, fundamentals) {
				foreign = i
			}
		}
	}
	if foreign == 0 {
		return Line{}, math.Inf(-1)
	}
	line := f.between(foreign)
	return line, DB(line.Amplitude / top)
}

// native says a frequency belongs to a harmonic of one of the fundamentals.
func (f *frame) native(hz float64, fundamentals []float64) bool {
	if hz <= 8*f.real {
		return true
	}
	for _, f0 := range fundamentals {
		if math.Abs(hz-math.Round(hz/f0)*f0) <= 8*f.real {
			return true
		}
	}
	return false
}

// Noise is the RMS, in dB under that of the whole stretch, of what lies from lo to
// hi hertz between the harmonics of f0, as if it filled the gaps of that band.
func Noise(x []float64, rate int, f0, lo, hi float64) float64 {
	f := newFrame(x, rate)
	between, count, in, all := 0.0, 0, 0, 0.0
	for i, c := range f.bins {
		hz := float64(i) * f.width
		p := real(c)*real(c) + imag(c)*imag(c)
		all += p
		if hz < lo || hz > hi {
			continue
		}
		in++
		if !f.native(hz, []float64{f0}) {
			between += p
			count++
		}
	}
	return 10 * math.Log10(between/float64(count)*float64(in)/all)
}

// Distance is how far two spectra lie apart in colour, dB: the RMS of their
// differences after the mean of each in dB is taken away and what lies more than 60 dB
// under its strongest is lifted to there. Only the first partials, as many as
// the shorter has, are compared.
func Distance(a, b []float64) float64 {
	n := min(len(a), len(b))
	a, b = centred(a[:n]), centred(b[:n])
	sum := 0.0
	for i := range a {
		sum += (a[i] - b[i]) * (a[i] - b[i])
	}
	return math.Sqrt(sum / float64(n))
}

func centred(levels []float64) []float64 {
	top := levels[0]
	for _, l := range levels {
		top = max(top, l)
	}
	out := make([]float64, len(levels))
	for i, l := range levels {
		out[i] = max(l, top-60)
	}
	mean := DC(out)
	for i := range out {
		out[i] -= mean
	}
	return out
}
