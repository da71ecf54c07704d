package beat

import "math"

// Float is the number nearest to a where its numerator and denominator are under
// 2⁵³, else one within three roundings.
func (a Time) Float() float64 { return float64(a.num) / float64(a.Denom()) }

// FromFloat is the fraction with a small denominator that x stands for: 1/10 for
// 0.1, 2/3 for 0.6666666666666666. It is the first convergent of x that is x when
// rounded; what is not a number is 0 beats, and what is beyond ±2⁶² held there.
// ref: continued fractions; Hardy and Wright, An Introduction to the Theory of
// Numbers, chapter 10.
func FromFloat(x float64) Time {
	const end = 1 << 62
	switch {
	case math.IsNaN(x):
		return Time{}
	case x < 0:
		return FromFloat(-x).Neg()
	}
	x = min(x, end)
	whole := math.Floor(x)
	n, d := int64((x-whole)*end), int64(end) // the rest, as Euclid takes it apart
	h, k, h1, k1 := int64(0), int64(1), int64(1), int64(0)
	for n > 0 && (float64(whole*float64(k))+float64(h))/float64(k) != x {
		term := d / n
		n, d = d%n, n
		h, k, h1, k1 = term*h+h1, term*k+k1, h, k
	}
	return Whole(int(whole)).Plus(lowest(h, k))
}
