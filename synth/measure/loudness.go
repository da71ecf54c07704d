package measure

import "math"

// biquad is a second-order filter, its own memory included.
type biquad struct {
	b0, b1, b2, a1, a2 float64
	x1, x2, y1, y2     float64
}

func (f *biquad) next(x float64) float64 {
	y := f.b0*x + f.b1*f.x1 + f.b2*f.x2 - f.a1*f.y1 - f.a2*f.y2
	f.x2, f.x1 = f.x1, x
	f.y2, f.y1 = f.y1, y
	return y
}

// shelf is the first stage of K-weighting, the effect of a head: +4 dB high up.
// ref: ITU-R BS.1770-4, annex 1, table 1 gives its coefficients at 48 kHz; the
// analogue figures behind them, for any rate, are those of De Man, Evaluation of
// Implementations of the EBU R128 Loudness Measurement, AES 145, 2018.
func shelf(rate int) biquad {
	const f0, q, gain = 1681.974450955533, 0.7071752369554196, 3.999843853973347
	k := math.Tan(math.Pi * f0 / float64(rate))
	high := math.Pow(10, gain/20)
	band := math.Pow(high, 0.4996667741545416)
	a0 := 1 + k/q + k*k
	return biquad{
		b0: (high + band*k/q + k*k) / a0, b1: 2 * (k*k - high) / a0, b2: (high - band*k/q + k*k) / a0,
		a1: 2 * (k*k - 1) / a0, a2: (1 - k/q + k*k) / a0,
	}
}

// highPass is the second stage of K-weighting.
// ref: ITU-R BS.1770-4, annex 1, table 2; De Man 2018.
func highPass(rate int) biquad {
	const f0, q = 38.13547087602444, 0.5003270373238773
	k := math.Tan(math.Pi * f0 / float64(rate))
	a0 := 1 + k/q + k*k
	return biquad{b0: 1, b1: -2, b2: 1, a1: 2 * (k*k - 1) / a0, a2: (1 - k/q + k*k) / a0}
}

// stepPowers is the K-weighted power of each 100 ms, all channels added; the last
// piece, if it is not whole, is left out.
func stepPowers(channels [][]float64, rate int) []float64 {
	step := rate / 10
	powers := make([]float64, len(channels[0])/step)
	for _, x := range channels {
		head, pass := shelf(rate), highPass(rate)
		for i := range powers {
			sum := 0.0
			for _, v := range x[i*step : (i+1)*step] {
				y := pass.next(head.next(v))
				sum += y * y
			}
			powers[i] += sum / float64(step)
		}
	}
	return powers
}

// blockPowers is the power of each 400 ms, one beginning every 100 ms.
func blockPowers(channels [][]float64, rate int) []float64 {
	steps := stepPowers(channels, rate)
	var blocks []float64
	for i := 0; i+4 <= len(steps); i++ {
		blocks = append(blocks, DC(steps[i:i+4]))
	}
	return blocks
}

// lufs is loudness from K-weighted power.
// ref: ITU-R BS.1770-4, annex 1, equation 2.
func lufs(power float64) float64 { return -0.691 + 10*math.Log10(power) }

// Integrated is the loudness of a whole sound of one or two channels of equal
// length, LUFS: the mean of its 400 ms blocks, those under -70 LUFS left out, then those
// 10 LU or more under the mean of the rest. -Inf for silence and under 400 ms.
// ref: ITU-R BS.1770-4, annex 1.
func Integrated(channels [][]float64, rate int) float64 {
	blocks := blockPowers(channels, rate)
	gate := func(least float64) float64 {
		sum, n := 0.0, 0
		for _, p := range blocks {
			if lufs(p) > least {
				sum += p
				n++
			}
		}
		if n == 0 {
			return math.Inf(-1)
		}
		return lufs(sum / float64(n))
	}
	return gate(gate(-70) - 10)
}

// Momentary is the loudness of the loudest 400 ms, LUFS, with the sound taken to
// be followed by silence. -Inf for silence.
// ref: EBU Tech 3341, momentary loudness.
func Momentary(channels [][]float64, rate int) float64 {
	padded := make([][]float64, len(channels))
	for i, x := range channels {
		padded[i] = append(append([]float64{}, x...), make([]float64, max(0, 2*rate/5-len(x)))...)
	}
	top := math.Inf(-1)
	for _, p := range blockPowers(padded, rate) {
		top = max(top, lufs(p))
	}
	return top
}
