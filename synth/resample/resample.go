// Package resample changes the rate of a sound.
//
// A sound under half its rate is known between its samples too: it is the sum
// of one sinc for each. So the samples of another rate are read off that curve.
// A sinc never ends; it is brought to an end by a Kaiser window, which trades
// its length against how much of what lies above half the lower rate comes
// through. For two whole rates the places between samples repeat, and the
// window's values at each of them are a row of a table, reckoned once.
//
// ref: A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, 3rd
// edition, 2010, sections 4.6 (changing the rate by a non-integer factor), 4.7
// (polyphase) and 7.5 (the Kaiser window, and the formulas for its shape and
// its length).
package resample

import (
	"errors"
	"io"
	"math"

	"reedlark/synth/dsp"
)

// What the filter lets through and what it keeps out.
const (
	Passband    = 0.90  // of half the lower rate: up to there a sound is as it was
	Attenuation = 100.0 // dB, from half the lower rate on
)

// mostRows bounds the table. Rates that have more places between samples than
// that read between two rows, at an error under the attenuation.
const mostRows = 1024

// Source gives frames, the channels of each side by side: as many as fit into
// x, fewer only at its end, and then none, with io.EOF.
type Source interface {
	Read(x []float64) (frames int, err error)
}

// Length is how many frames a sound has after a change of its rate.
func Length(frames int64, from, to int) int64 {
	return (frames*int64(to) + int64(from) - 1) / int64(from)
}

// New reads a source, of so many channels, at another rate. Frame 0 stays where
// it is, and the length is [Length]. Rates are over 0; equal ones change nothing.
func New(src Source, channels, from, to int) Source {
	if from == to {
		return src
	}
	g := gcd(from, to)
	r := &resampler{src: src, channels: channels, up: int64(to / g), down: int64(from / g)}
	r.design(float64(to) / float64(from))
	r.window = make([]float64, (r.half-1)*channels, (r.half+blockFrames)*channels*2) // silence before the first frame
	return r
}

// blockFrames is how many frames are read at a time.
const blockFrames = 4096

type resampler struct {
	src      Source
	channels int
	up, down int64 // the rates, without their common factor

	half int         // taps on each side of a place
	rows [][]float64 // the taps for each of the places between two samples, and once more the first

	mixed []float64 // taps between two rows

	window []float64 // frames that are in use, from frame first on
	first  int64     // counts from half-1 frames before the source's first
	out    int64     // frames given
	frames int64     // of the source; known once it has ended
	ended  bool
}

// design lays the table out. The sinc has its cut in the middle between the
// passband and half the lower rate. ref: Oppenheim & Schafer, equations 7.75
// and 7.76.
func (r *resampler) design(ratio float64) {
	lower := min(1, ratio)
	cut := lower * (1 + Passband) / 2              // of half the source's rate
	transition := math.Pi * lower * (1 - Passband) // radians a frame
	taps := (Attenuation-8)/float64(2.285*transition) + 1
	r.half = int(taps/2) + 1
	r.mixed = make([]float64, 2*r.half)
	beta := 0.1102 * (Attenuation - 8.7)
	n := int(min(r.up, mostRows))
	r.rows = make([][]float64, n+1)
	for k := range r.rows {
		r.rows[k] = row(float64(k)/float64(n), r.half, cut, beta)
	}
}

// row is the taps for a place a part of the way after a sample; the first taps
// are those of the samples before it. Their sum is 1, so that a constant stays.
func row(part float64, half int, cut, beta float64) []float64 {
	out := make([]float64, 2*half)
	sum := 0.0
	for i := range out {
		t := float64(i-half+1) - part
		x := t / float64(half)
		if x > -1 && x < 1 {
			out[i] = cut * sinc(cut*t) * bessel(beta*math.Sqrt(1-float64(x*x)))
		}
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// sinc is sin(πx)/(πx).
func sinc(x float64) float64 {
	if math.Abs(x) < 1e-9 {
		return 1
	}
	return dsp.Sin(x/2) / float64(math.Pi*x)
}

// bessel is the modified Bessel function of the first kind and order 0, by its
// series. ref: Oppenheim & Schafer, section 7.5.3; Abramowitz & Stegun, 9.6.12.
func bessel(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > sum*1e-17; k++ {
		term = float64(term * (float64(x*x) / float64(4*k*k)))
		sum += term
	}
	return sum
}

// Read gives the next frames.
func (r *resampler) Read(x []float64) (int, error) {
	n := 0
	for ; (n+1)*r.channels <= len(x); n++ {
		at := r.out * r.down / r.up // the last frame of the source at or before
		if err := r.reach(at + int64(2*r.half)); err != nil {
			return n, err
		}
		if r.ended && r.out >= (r.frames*r.up+r.down-1)/r.down {
			break
		}
		r.frame(x[n*r.channels:], at)
		r.out++
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// reach reads on until the window holds frames up to a number. After its end a
// source goes on silent.
func (r *resampler) reach(to int64) error {
	for r.first+int64(len(r.window)/r.channels) < to {
		r.forget()
		room := len(r.window)
		r.window = r.window[:room+blockFrames*r.channels]
		fresh := r.window[room:]
		clear(fresh)
		if r.ended {
			continue
		}
		n, err := r.src.Read(fresh)
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		r.frames += int64(n)
		r.ended = n < blockFrames
	}
	return nil
}

// forget drops the frames that are behind.
func (r *resampler) forget() {
	behind := int(r.out*r.down/r.up-r.first) * r.channels
	behind = min(max(behind, 0), len(r.window))
	r.first += int64(behind / r.channels)
	kept := copy(r.window, r.window[behind:])
	r.window = r.window[:kept]
}

// frame reckons one frame out of those around it.
func (r *resampler) frame(out []float64, at int64) {
	taps := r.taps(r.out * r.down % r.up)
	around := r.window[int(at-r.first)*r.channels:]
	if r.channels == 1 {
		out[0] = dot(taps, around)
		return
	}
	out[0], out[1] = dot2(taps, around)
}

// taps are those for a place, so many parts of up after a sample.
func (r *resampler) taps(part int64) []float64 {
	n := int64(len(r.rows) - 1)
	if n == r.up {
		return r.rows[part]
	}
	k, rest := part*n/r.up, float64(part*n%r.up)/float64(r.up)
	a, b := r.rows[k], r.rows[k+1]
	for i := range r.mixed {
		r.mixed[i] = a[i] + float64(rest*(b[i]-a[i]))
	}
	return r.mixed
}

// dot is the sum of products, in one order on every machine: the even ones and
// the odd ones, so that the processor need not wait for each.
func dot(taps, x []float64) float64 {
	x = x[:len(taps)]
	var a, b float64
	for i := 0; i+1 < len(taps); i += 2 {
		a += float64(taps[i] * x[i])
		b += float64(taps[i+1] * x[i+1])
	}
	return a + b
}

// dot2 is the same for two channels side by side.
func dot2(taps, x []float64) (left, right float64) {
	x = x[:2*len(taps)]
	var a, b, c, d float64
	for i := 0; i+1 < len(taps); i += 2 {
		t, u, y := taps[i], taps[i+1], x[2*i:2*i+4:2*i+4]
		a += float64(t * y[0])
		b += float64(t * y[1])
		c += float64(u * y[2])
		d += float64(u * y[3])
	}
	return a + c, b + d
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
