package level

import "reedlark/synth/dsp"

// Times and gates of the meter. ref: ITU-R BS.1770-4, annex 1.
const (
	blockBins    = 4 // of 100 ms; a block starts at every bin
	absoluteGate = -70.0
	relativeGate = -10.0
	// shortBins is the length under which a sound is too short for gates; it
	// is then judged by its loudest block.
	shortBins = 30
)

// Loudness is the integrated loudness in LUFS of the whole sound after a gain
// over time; of the loudest 400 ms for sounds under three seconds; -200 for
// silence.
func (l *Ledger) Loudness(gain func(i int) float64) float64 {
	bins := make([]float64, max(l.bins, blockBins))
	for b := range bins {
		bins[b] = l.bin(b, gain)
	}
	blocks := blocksOf(bins)
	if l.bins < shortBins {
		high := 0.0
		for _, b := range blocks {
			high = max(high, b)
		}
		return loudness(high)
	}
	return gated(blocks)
}

// Integrated is the loudness in LUFS of a sound of which the weighted power,
// summed over channels, of every 100 ms is given; -200 for silence.
func Integrated(bins []float64) float64 {
	short := make([]float64, max(0, blockBins-len(bins))) // silence
	return gated(blocksOf(append(short, bins...)))
}

// blocksOf are the powers of the 400 ms blocks, one beginning at every 100 ms.
func blocksOf(bins []float64) []float64 {
	blocks := make([]float64, len(bins)-blockBins+1)
	for b := range blocks {
		for _, p := range bins[b : b+blockBins] {
			blocks[b] += float64(p / blockBins)
		}
	}
	return blocks
}

func gated(blocks []float64) float64 {
	first := meanAbove(blocks, power(absoluteGate))
	if first == 0 {
		return loudness(0)
	}
	gate := max(power(loudness(first)+relativeGate), power(absoluteGate))
	return loudness(meanAbove(blocks, gate))
}

func meanAbove(blocks []float64, gate float64) float64 {
	sum, n := 0.0, 0
	for _, b := range blocks {
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

// Silent says that nothing sounds.
func (l *Ledger) Silent() bool {
	for _, p := range l.power {
		if p > 0 {
			return false
		}
	}
	return true
}

// highest is the highest peak bound.
func (l *Ledger) highest() float64 {
	high := 0.0
	for _, p := range l.peak {
		high = max(high, float64(p))
	}
	return high
}
