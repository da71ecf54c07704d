package measure

import (
	"math"
	"math/cmplx"
)

// The range of pitch that is looked for, hertz: from below the lowest reed of a
// low G harp bent a tone to above the highest of a high F# one overdrawn.
const (
	lowest  = 60.0
	highest = 7000.0
)

// Pitch is the fundamental of a steady stretch, hertz; 0 where there is none or
// the stretch is too short (under 40 ms).
//
// YIN finds it and the phases of its partials refine it: between two frames a
// partial turns by its frequency times the time between them.
//
// ref: de Cheveigné & Kawahara, YIN, JASA 111(4), 2002.
// ref: phase advance: Flanagan & Golden, Phase vocoder, Bell Syst. Tech. J. 45(9), 1966.
func Pitch(x []float64, rate int) float64 {
	if float64(len(x)) < 0.04*float64(rate) {
		return 0
	}
	const factor = 4 // a bright high reed needs finer lags than samples
	n := min(len(x), rate/8)
	start := (len(x) - n) / 2
	coarse := yin(upsample(x[start:start+n], factor), factor*rate, lowest, highest)
	if coarse.Hz == 0 || coarse.Clarity < 0.5 {
		return 0
	}
	return refine(x, rate, coarse.Hz)
}

// refine sharpens a fundamental known to some cents by the phase advance of its
// partials, those within 30 dB of the strongest, weighted by number and strength.
func refine(x []float64, rate int, f0 float64) float64 {
	hop := len(x) / 4
	frame := len(x) - hop
	a, b := newFrame(x[:frame], rate), newFrame(x[hop:], rate)
	lines := a.harmonics(f0, 24)
	top := 0.0
	for _, l := range lines {
		top = max(top, l.Amplitude)
	}
	sum, weights := 0.0, 0.0
	for i, l := range lines {
		if l.Amplitude < top*0.03 {
			continue
		}
		w := float64(i+1) * l.Amplitude
		sum += w * w * a.advance(b, l.Hz, float64(hop)/float64(rate)) / float64(i+1)
		weights += w * w
	}
	if weights == 0 {
		return f0
	}
	return sum / weights
}

// advance is the frequency near hz that turns the phase of frame a into that of
// b, which lies later by seconds.
func (a *frame) advance(b *frame, hz, seconds float64) float64 {
	i := int(math.Round(hz / a.width))
	turns := cmplx.Phase(b.bins[i]*cmplx.Conj(a.bins[i])) / (2 * math.Pi)
	whole := math.Round(hz*seconds - turns)
	return (whole + turns) / seconds
}

// Point is the pitch of a short window.
type Point struct {
	Seconds float64 // the middle of the window
	Hz      float64 // 0 where nothing repeats
	Level   float64 // RMS
	Clarity float64 // 1 where the sound repeats exactly, 0 where not at all
}

// Track is the pitch along x, in windows some seconds long, every hop seconds,
// looked for from lo to hi hertz. A window must hold a period of lo and something
// more; the less the range, the fewer octave slips.
//
// ref: de Cheveigné & Kawahara, YIN, JASA 111(4), 2002.
func Track(x []float64, rate int, window, hop, lo, hi float64) []Point {
	factor := 4
	if hi > 1500 {
		factor = 8
	}
	y := upsample(x, factor)
	fast := float64(rate * factor)
	n := int((window + 1/lo) * fast)
	var points []Point
	for t := 0.0; ; t += hop {
		start := int(t * fast)
		if start+n > len(y) {
			return points
		}
		p := yin(y[start:start+n], rate*factor, lo, hi)
		p.Seconds = (float64(start) + float64(n)/2) / fast
		points = append(points, p)
	}
}

// Follow is the pitch along x of one voice among others: in windows some
// seconds long, every hop seconds, the strongest line within a semitone of where
// path, hertz at a time, says the voice should be. A window of twelve periods keeps
// neighbours a third apart from each other. Clarity is 1 where there is a line, else 0.
func Follow(x []float64, rate int, window, hop float64, path func(seconds float64) float64) []Point {
	n := int(window * float64(rate))
	var points []Point
	for t := 0.0; int(t*float64(rate))+n <= len(x); t += hop {
		start := int(t * float64(rate))
		piece := x[start : start+n]
		p := Point{Seconds: (float64(start) + float64(n)/2) / float64(rate), Level: RMS(piece)}
		want := path(p.Seconds)
		if line := newFrame(piece, rate).peak(want, want*0.059); line.Amplitude > 0 {
			p.Hz, p.Clarity = line.Hz, 1
		}
		points = append(points, p)
	}
	return points
}

// yin is the first period of x that explains it nearly as well as the best.
func yin(x []float64, rate int, lo, hi float64) Point {
	longest := min(int(float64(rate)/lo)+2, len(x)/2)
	shortest := max(int(float64(rate)/hi), 2)
	if shortest+2 >= longest {
		return Point{Level: RMS(x)}
	}
	d := normalised(x, longest)
	lag := firstDip(d, shortest)
	at, depth := vertex(d[lag-1], d[lag], d[lag+1])
	p := Point{Level: RMS(x), Clarity: min(max(1-depth, 0), 1)}
	if p.Level > 0 {
		p.Hz = float64(rate) / (float64(lag) + at)
	}
	return p
}

// firstDip is the first local minimum within a tenth of the deepest.
func firstDip(d []float64, shortest int) int {
	best := shortest
	for i := shortest; i < len(d)-1; i++ {
		if d[i] < d[best] {
			best = i
		}
	}
	for i := shortest; i < best; i++ {
		if d[i] < d[best]+0.1 && d[i] <= d[i-1] && d[i] <= d[i+1] {
			return i
		}
	}
	return min(max(best, 1), len(d)-2)
}

// normalised is the squared difference between x and itself later by each lag,
// over the energy of both: 0 for an exact repeat, 1 for strangers.
func normalised(x []float64, lags int) []float64 {
	w := len(x) - lags // one window for all lags
	n := powerOfTwo(len(x) + w)
	a, b := transform(x[:w], n), transform(x, n)
	for i := range b {
		b[i] *= cmplx.Conj(a[i])
	}
	cross := inverse(b, n)
	first := energy(x[:w])
	later := first
	d := make([]float64, lags)
	for lag := range d {
		d[lag] = max(0, 1-2*cross[lag]/(first+later+1e-30))
		later += x[lag+w]*x[lag+w] - x[lag]*x[lag]
	}
	return d
}

// vertex is the place, from the middle one, and the height of the extremum of
// the parabola through three equally spaced values.
func vertex(a, b, c float64) (at, height float64) {
	curve := a - 2*b + c
	if curve == 0 {
		return 0, b
	}
	at = min(max((a-c)/(2*curve), -1), 1)
	return at, b - (a-c)*at/4
}
