package dsp

import "math"

// expTaylor are the coefficients of 2^x, highest first. Six are good to 1e-16
// for |x| <= 1/2/steps, fourteen for |x| <= 1/2. ref: Abramowitz & Stegun 4.2.1.
var expTaylor, expTaylorFar = taylorOfExp2(6), taylorOfExp2(14)

func taylorOfExp2(terms int) []float64 {
	out := make([]float64, terms)
	c := 1.0
	for i := range out {
		out[terms-1-i] = c
		c = c * math.Ln2 / float64(i+1)
	}
	return out
}

// steps is how many powers of two between 1 and 2 are kept: 2^(i/steps).
const steps = 64

var powers = powersOfTwo()

func powersOfTwo() (out [steps]float64) {
	for i := range out {
		x := float64(float64(i) / steps)
		if x <= 0.5 {
			out[i] = horner(expTaylorFar, x)
		} else {
			out[i] = 2 * horner(expTaylorFar, x-1)
		}
	}
	return out
}

// Exp2 is 2 to the power x, to about 1e-15 of its value; 0 below -1000, and no
// more than 2^1000.
func Exp2(x float64) float64 {
	if x < -1000 {
		return 0
	}
	x = min(x, 1000)
	near := math.Floor(float64(x*steps) + 0.5)
	i := int64(near)
	power := math.Float64frombits(uint64(i>>6+1023) << 52)
	return float64(horner(expTaylor, x-float64(near/steps)) * powers[i&(steps-1)] * power)
}

// Exp is e to the power x.
func Exp(x float64) float64 { return Exp2(float64(x * math.Log2E)) }

// atanhSeries are 1/(2n+1), highest n first: the series of atanh(s)/s in s².
// ref: Abramowitz & Stegun 4.6.33.
var atanhSeries = oddReciprocals(12)

func oddReciprocals(terms int) []float64 {
	out := make([]float64, terms)
	for i := range out {
		out[terms-1-i] = 1 / float64(2*i+1)
	}
	return out
}

// Log2 is the logarithm to base 2 of a positive x, to about 1e-15.
// ln m = 2·atanh((m-1)/(m+1)), ref: Abramowitz & Stegun 4.1.27.
func Log2(x float64) float64 {
	m, e := math.Frexp(x) // 1/2 <= m < 1
	if m < math.Sqrt2/2 {
		m, e = 2*m, e-1
	}
	s := (m - 1) / (m + 1)
	return float64(e) + float64(2*math.Log2E*s*horner(atanhSeries, float64(s*s)))
}

// perOctave is 20·log10(2): the decibels of a doubling of amplitude.
const perOctave = 6.020599913279624

// Gain turns decibels into a factor of amplitude.
func Gain(db float64) float64 { return Exp2(db / perOctave) }

// Decibels turns a factor of amplitude into decibels; -200 for nothing.
func Decibels(gain float64) float64 {
	if gain < 1e-10 {
		return -200
	}
	return float64(perOctave * Log2(gain))
}

// Cents is how far f lies above ref, in hundredths of a semitone.
func Cents(f, ref float64) float64 { return float64(1200 * Log2(f/ref)) }
