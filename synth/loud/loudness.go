package loud

import (
	"iter"
	"slices"

	"reedlark/synth/dsp"
)

// Times and gates of the meter. ref: ITU-R BS.1770-4, annex 1.
const (
	blockBins    = 4 // of 100 ms; a block starts at every bin
	absoluteGate = -70.0
	relativeGate = -10.0
	// shortBins is the length under which a sound is too short for gates; it
	// is then judged by its loudest block.
	shortBins = 30
)

// loudness is the integrated loudness in LUFS of the whole sound after a gain
// over time; of the loudest 400 ms for sounds under three seconds; -200 for
// silence.
func (l *estimate) loudness(gain func(i int) float64) float64 {
	bins := func(yield func(float64) bool) {
		for b := range l.bins {
			if !yield(l.bin(b, gain)) {
				return
			}
		}
	}
	if l.bins >= shortBins {
		return gated(bins)
	}
	high := 0.0
	for b := range blocks(bins) {
		high = max(high, b)
	}
	return loudness(high)
}

// Integrated is the loudness in LUFS of a sound of which the weighted power,
// summed over channels, of every 100 ms is given; -200 for silence.
func Integrated(bins []float64) float64 { return gated(slices.Values(bins)) }

// blocks are the powers of the 400 ms blocks, one beginning at every 100 ms; where
// the sound is shorter than one, it goes on in silence.
func blocks(bins iter.Seq[float64]) iter.Seq[float64] {
	return func(yield func(float64) bool) {
		var last [blockBins]float64
		n := 0
		for b := range bins {
			copy(last[:], last[1:])
			last[blockBins-1] = b / blockBins
			if n++; n >= blockBins && !yield(sum(last)) {
				return
			}
		}
		if n < blockBins {
			yield(sum(last))
		}
	}
}

func sum(x [blockBins]float64) (total float64) {
	for _, v := range x {
		total += v
	}
	return total
}

func gated(bins iter.Seq[float64]) float64 {
	first := meanAbove(bins, power(absoluteGate))
	if first == 0 {
		return loudness(0)
	}
	gate := max(power(loudness(first)+relativeGate), power(absoluteGate))
	return loudness(meanAbove(bins, gate))
}

// meanAbove is the mean power of the blocks over a gate, 0 for none.
func meanAbove(bins iter.Seq[float64], gate float64) float64 {
	sum, n := 0.0, 0
	for b := range blocks(bins) {
		if b > gate {
			sum, n = sum+b, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

func loudness(power float64) float64 {
	if power < 1e-20 {
		return -200
	}
	return dsp.Loudness(power)
}

// power is the weighted power of a loudness in LUFS.
func power(lufs float64) float64 {
	g := dsp.Gain(lufs - dsp.LoudnessOffset)
	return g * g
}

// unity is the gain that changes nothing.
func unity(int) float64 { return 1 }

// silent says that nothing sounds.
func (l *estimate) silent() bool {
	for _, p := range l.power {
		if p > 0 {
			return false
		}
	}
	return true
}

// highest is the highest peak bound.
func (l *estimate) highest() float64 {
	high := 0.0
	for _, p := range l.peak {
		high = max(high, float64(p))
	}
	return high
}
