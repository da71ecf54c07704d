package measure

import "math"

// Beat is the slow swelling of two tones that lie close together.
type Beat struct {
	Hz    float64 // swells a second: how far the tones lie apart
	Depth float64 // 0 for a steady tone, 1 for two equal ones
}

// Beating is how the part of x within width hertz of centre swells. Two reeds
// beat where a partial of the one lies close to a partial of the other, which
// [Coincidence] finds. The stretch must hold some beats, and width must keep
// neighbouring partials out.
// ref: the power of two tones a and b swells by 2ab/(a²+b²) at the difference of
// their frequencies (trigonometry).
func Beating(x []float64, rate int, centre, width float64) Beat {
	power := bandPower(x, rate, centre, width)
	edge := len(power) / 10 // the band filter rings at both ends
	power = power[edge : len(power)-edge]
	mean := DC(power)
	for i := range power {
		power[i] -= mean
	}
	f := newFrame(power, rate)
	best := Line{}
	for i := int(1.5 * f.real / f.width); float64(i)*f.width < 2*width; i++ {
		if f.amplitude(i) > best.Amplitude && f.amplitude(i) >= f.amplitude(i-1) && f.amplitude(i) >= f.amplitude(i+1) {
			best = f.between(i)
		}
	}
	return Beat{Hz: best.Hz, Depth: best.Amplitude / mean}
}

// bandPower is the power of a band of x in time: the squared length of its
// analytic signal, band edges rounded by a raised cosine.
func bandPower(x []float64, rate int, centre, width float64) []float64 {
	n := powerOfTwo(len(x))
	c := transform(x, n)
	turned := make([]complex128, len(c)) // the same band, every partial a quarter turn later
	for i := range c {
		off := math.Abs(float64(i)*float64(rate)/float64(n)-centre) / width
		c[i] *= complex(edge(off), 0)
		turned[i] = c[i] * complex(0, -1)
	}
	a, b := inverse(c, n), inverse(turned, n)
	for i := range a {
		a[i] = a[i]*a[i] + b[i]*b[i]
	}
	return a[:len(x)]
}

// edge is 1 inside a band, 0 from its limit on, and smooth over the last fifth.
func edge(off float64) float64 {
	if off >= 1 {
		return 0
	}
	if off <= 0.8 {
		return 1
	}
	return 0.5 + 0.5*math.Cos(math.Pi*(off-0.8)/0.2)
}

// Band is the part of x from lo to hi hertz, without delay, its edges rounded.
func Band(x []float64, rate int, lo, hi float64) []float64 {
	n := powerOfTwo(len(x) + rate/20)
	c := transform(x, n)
	centre, width := (lo+hi)/2, (hi-lo)/2
	for i := range c {
		off := math.Abs(float64(i)*float64(rate)/float64(n)-centre) / width
		c[i] *= complex(edge(off), 0)
	}
	return inverse(c, n)[:len(x)]
}

// Coincidence is the lowest frequency at which a partial of f and one of g, up to the
// twelfth, lie within a third of a semitone of each other, and how far apart they lie
// there, hertz; 0, 0 for none.
func Coincidence(f, g float64) (centre, apart float64) {
	for k := 1; k <= 12; k++ {
		a := float64(k) * f
		b := math.Round(a/g) * g
		if b > 0 && math.Abs(Cents(a, b)) < 33 {
			return (a + b) / 2, math.Abs(a - b)
		}
	}
	return 0, 0
}

// Wobble is the rate and the extent of the vibrato in a pitch track.
type Wobble struct {
	Hz    float64 // cycles a second
	Cents float64 // from the lowest to the highest pitch
}

// Vibrato is how the pitch of a track swings: rate by the strongest line of the
// cents about their mean, extent from the lowest to the highest point. Points with
// no clear pitch are left out; the track must be evenly spaced.
func Vibrato(points []Point) Wobble {
	var cents []float64
	for _, p := range points {
		if p.Clarity > 0.5 && p.Hz > 0 {
			cents = append(cents, Cents(p.Hz, points[0].Hz))
		}
	}
	if len(cents) < 8 {
		return Wobble{}
	}
	least, most, mean := math.Inf(1), math.Inf(-1), DC(cents)
	for i, c := range cents {
		least, most = min(least, c), max(most, c)
		cents[i] = c - mean
	}
	return Wobble{Hz: swing(cents, points[1].Seconds-points[0].Seconds), Cents: most - least}
}

// swing is the strongest frequency of values every hop seconds, above 2 Hz.
func swing(values []float64, hop float64) float64 {
	const fine = 1000 // newFrame counts in whole frames a second: scale, then back
	f := newFrame(values, fine)
	best := Line{}
	for i := 1; i < len(f.bins)-1; i++ {
		if float64(i)*f.width/(fine*hop) >= 2 && f.amplitude(i) > best.Amplitude {
			best = f.between(i)
		}
	}
	return best.Hz / (fine * hop)
}
