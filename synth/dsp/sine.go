package dsp

import "math"

// sineTaylor are the coefficients of sin(2πx)/x in x², highest first: the
// Taylor series of the sine up to the 21st power, whose next term is under
// 2e-18 for a quarter turn.
// ref: Abramowitz & Stegun, Handbook of Mathematical Functions, 4.3.65.
var sineTaylor = taylorOfSine(11)

func taylorOfSine(terms int) []float64 {
	out := make([]float64, terms)
	c := 2 * math.Pi
	for i := range out {
		out[terms-1-i] = c
		n := float64(2*i + 2)
		c = -c * (2 * math.Pi) * (2 * math.Pi) / (n * (n + 1))
	}
	return out
}

// Sin is the sine of an angle in turns, to about 1e-15.
func Sin(turns float64) float64 {
	turns = float64(turns)             // a product stays one, also where this is inlined
	x := turns - math.Floor(turns+0.5) // -1/2 to 1/2
	switch {
	case x > 0.25:
		x = 0.5 - x
	case x < -0.25:
		x = -0.5 - x
	}
	return float64(x * horner(sineTaylor, float64(x*x)))
}

// Cos is the cosine of an angle in turns.
func Cos(turns float64) float64 { return Sin(float64(turns) + 0.25) }

// tan is the tangent of an angle in turns.
func tan(turns float64) float64 { return Sin(turns) / Cos(turns) }

// horner evaluates a polynomial whose highest coefficient comes first.
func horner(c []float64, x float64) float64 {
	sum := c[0]
	for _, k := range c[1:] {
		sum = float64(sum*x) + k
	}
	return sum
}
