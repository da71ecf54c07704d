package measure

import "math"

// oversampling of the true peak: a sine can hide 0.04 dB between points at 8
// times 48 kHz where it reaches 12 kHz.
// ref: ITU-R BS.1770-4, annex 2, attachment 1 (asks for 4 at least).
const oversampling = 8

// TruePeak is the highest point of the waveform between the samples, dB of full
// scale (dBTP), of all channels.
// ref: ITU-R BS.1770-4, annex 2.
func TruePeak(channels [][]float64) float64 {
	phases := interpolators()
	top := 0.0
	for _, x := range channels {
		for i := range x {
			top = max(top, math.Abs(x[i]))
			if math.Abs(x[i]) > top/4 { // a peak has a large sample beside it
				top = max(top, between(x, i, phases))
			}
		}
	}
	return DB(top)
}

// reach is how many samples on each side an interpolated one takes into account.
const reach = 24

// between is the highest absolute value between sample i and the next.
func between(x []float64, i int, phases [][]float64) float64 {
	top := 0.0
	for _, taps := range phases {
		sum := 0.0
		for j, tap := range taps {
			if at := i + j - reach + 1; at >= 0 && at < len(x) {
				sum += tap * x[at]
			}
		}
		top = max(top, math.Abs(sum))
	}
	return top
}

// interpolators are the taps for each place between two samples: a sinc under
// a raised cosine.
func interpolators() [][]float64 {
	phases := make([][]float64, oversampling-1)
	for p := range phases {
		phases[p] = make([]float64, 2*reach)
		for j := range phases[p] {
			t := float64(j-reach+1) - float64(p+1)/oversampling
			phases[p][j] = math.Sin(math.Pi*t) / (math.Pi * t) * (0.5 + 0.5*math.Cos(math.Pi*t/reach))
		}
	}
	return phases
}
