package measure

import (
	"math"
	"slices"
)

// Levels is the loudness of a sound in time: running RMS, one value each hop.
type Levels struct {
	Hop   float64   // seconds; value i belongs to i*Hop
	Value []float64 // RMS round that moment
}

// Envelope is the running RMS of x over a window, seconds, centred, each hop
// seconds. Two periods of the note, and 4 ms at least, do not ripple.
func Envelope(x []float64, rate int, window, hop float64) Levels {
	sums := make([]float64, len(x)+1)
	for i, v := range x {
		sums[i+1] = sums[i] + v*v
	}
	half := max(window*float64(rate)/2, 0.5)
	env := Levels{Hop: hop}
	for i := 0; float64(i)*hop*float64(rate) < float64(len(x)); i++ {
		at := float64(i) * hop * float64(rate)
		lo := min(max(int(math.Round(at-half)), 0), len(x))
		hi := min(max(int(math.Round(at+half)), 0), len(x))
		env.Value = append(env.Value, math.Sqrt(max(0, sums[hi]-sums[lo])/(2*half)))
	}
	return env
}

// At is the level at a time; 0 outside the sound.
func (e Levels) At(seconds float64) float64 {
	i := int(math.Round(seconds / e.Hop))
	if i < 0 || i >= len(e.Value) {
		return 0
	}
	return e.Value[i]
}

// Steady is the median level between two times.
func (e Levels) Steady(from, to float64) float64 {
	v := slices.Clone(e.between(from, to))
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[len(v)/2]
}

func (e Levels) between(from, to float64) []float64 {
	lo := min(max(int(math.Round(from/e.Hop)), 0), len(e.Value))
	hi := min(max(int(math.Round(to/e.Hop)), lo), len(e.Value))
	return e.Value[lo:hi]
}

// Rise is the first time from a moment on at which the level has risen to a
// threshold and was under it before, between the values by a straight line; NaN
// for never.
func (e Levels) Rise(from, threshold float64) float64 {
	for i := max(int(math.Round(from/e.Hop)), 0); i < len(e.Value); i++ {
		before := 0.0
		if i > 0 {
			before = e.Value[i-1]
		}
		if e.Value[i] >= threshold && before < threshold {
			return (float64(i-1) + (threshold-before)/(e.Value[i]-before)) * e.Hop
		}
	}
	return math.NaN()
}

// Fall is the first time from a moment on at which the level has fallen under a
// threshold; NaN for never.
func (e Levels) Fall(from, threshold float64) float64 {
	for i := max(int(math.Round(from/e.Hop)), 1); i < len(e.Value); i++ {
		if e.Value[i] < threshold && e.Value[i-1] >= threshold {
			return (float64(i) - (threshold-e.Value[i])/(e.Value[i-1]-e.Value[i])) * e.Hop
		}
	}
	return math.NaN()
}

// Onset is where a note begins after from: the level rises to a tenth of its
// steady level. NaN for never.
func (e Levels) Onset(from, steady float64) float64 { return e.Rise(from, 0.1*steady) }

// Attack is the time a note takes after from to rise from 10 to 90 % of its
// steady level; NaN where it does not.
func (e Levels) Attack(from, steady float64) float64 {
	start := e.Rise(from, 0.1*steady)
	if math.IsNaN(start) {
		return start
	}
	return e.Rise(start, 0.9*steady) - start
}

// Release is the time a note takes after from, a moment at which it still
// sounds, to fall from 90 to 10 % of its steady level, counted from the last time
// it is at 90 before it is at 10; NaN where it does not.
func (e Levels) Release(from, steady float64) float64 {
	end := e.Fall(from, 0.1*steady)
	if math.IsNaN(end) {
		return end
	}
	for i := int(end / e.Hop); i > 0; i-- {
		if e.Value[i-1] >= 0.9*steady && e.Value[i] < 0.9*steady {
			return end - e.Fall(float64(i)*e.Hop, 0.9*steady)
		}
	}
	return math.NaN()
}

// Gap is the dip in level between two notes.
type Gap struct {
	Depth float64 // dB under the softer of the two, 0 or more
	At    float64 // seconds, its lowest place
	Width float64 // seconds that lie at least 20 dB under the softer
}

// Dip is the gap between two notes of which one sounds at from and the other
// at to.
func (e Levels) Dip(from, to float64) Gap {
	level := min(e.At(from), e.At(to))
	gap := Gap{At: from}
	least := math.Inf(1)
	for i, v := range e.between(from, to) {
		if v < least {
			least, gap.At = v, from+float64(i)*e.Hop
		}
		if v < level/10 {
			gap.Width += e.Hop
		}
	}
	gap.Depth = max(0, DB(level/max(least, 1e-9)))
	return gap
}
