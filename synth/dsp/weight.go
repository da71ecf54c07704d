package dsp

import "math"

// Weighting is the frequency weighting of a loudness meter at one sample
// rate: a shelf for the head, then a high-pass, as two second-order sections.
// ref: Recommendation ITU-R BS.1770-4, annex 1, figures 3 and 4.
type Weighting struct{ shelf, pass Section }

// Section is a second-order filter, a0 being 1.
type Section struct{ B0, B1, B2, A1, A2 float64 }

// The analogue filters behind the Recommendation's coefficients for 48 kHz,
// from which those of any rate follow.
// ref: B. De Man, "Evaluation of implementations of the EBU R128 loudness
// measurement", AES Convention 145, 2018.
const (
	shelfHz, shelfQ, shelfDB = 1681.974450955533, 0.7071752369554196, 3.999843853973347
	passHz, passQ            = 38.13547087602444, 0.5003270373238773
	shelfBend                = 0.4996667741545416 // of the shelf's gain, at its middle
)

// NewWeighting is the K-weighting at a sample rate in Hz.
func NewWeighting(rate float64) Weighting {
	return Weighting{shelf: shelf(rate), pass: pass(rate)}
}

func shelf(rate float64) Section {
	k := tan(shelfHz / rate / 2)
	high := Gain(shelfDB)
	mid := Exp2(shelfBend * Log2(high))
	kk, kq := float64(k*k), k/shelfQ
	a0 := 1 + kq + kk
	return Section{
		B0: (high + float64(mid*kq) + kk) / a0,
		B1: 2 * (kk - high) / a0,
		B2: (high - float64(mid*kq) + kk) / a0,
		A1: 2 * (kk - 1) / a0,
		A2: (1 - kq + kk) / a0,
	}
}

func pass(rate float64) Section {
	k := tan(passHz / rate / 2)
	kk, kq := float64(k*k), k/passQ
	a0 := 1 + kq + kk
	return Section{B0: 1, B1: -2, B2: 1, A1: 2 * (kk - 1) / a0, A2: (1 - kq + kk) / a0}
}

// Filter is a weighting at work on one channel of samples.
type Filter struct{ stages [2]stage }

// stage is a section with its memory.
type stage struct {
	Section
	x1, x2, y1, y2 float64
}

// Filter begins in silence.
func (w Weighting) Filter() *Filter {
	return &Filter{[2]stage{{Section: w.shelf}, {Section: w.pass}}}
}

// Next weights one sample.
func (f *Filter) Next(x float64) float64 { return f.stages[1].next(f.stages[0].next(x)) }

func (s *stage) next(x float64) float64 {
	y := float64(s.B0*x) + float64(s.B1*s.x1) + float64(s.B2*s.x2) - float64(s.A1*s.y1) - float64(s.A2*s.y2)
	s.x1, s.x2, s.y1, s.y2 = x, s.x1, y, s.y1
	return y
}

// Power is by how much the weighting raises the power of a line; turns is
// its frequency over the sample rate, 0 to 0.5.
func (w Weighting) Power(turns float64) float64 {
	return w.shelf.power(turns) * w.pass.power(turns)
}

func (s Section) power(turns float64) float64 {
	c1, s1 := Cos(turns), Sin(turns)
	c2, s2 := Cos(2*turns), Sin(2*turns)
	up := norm(s.B0+float64(s.B1*c1)+float64(s.B2*c2), float64(s.B1*s1)+float64(s.B2*s2))
	down := norm(1+float64(s.A1*c1)+float64(s.A2*c2), float64(s.A1*s1)+float64(s.A2*s2))
	return up / down
}

func norm(re, im float64) float64 { return float64(re*re) + float64(im*im) }

// LoudnessOffset is what a meter adds to ten times the logarithm of the
// weighted power. ref: ITU-R BS.1770-4, annex 1, equation 2.
const LoudnessOffset = -0.691

// Loudness is the level in LUFS of a weighted power, summed over channels.
func Loudness(power float64) float64 {
	return LoudnessOffset + Decibels(math.Sqrt(power))
}
