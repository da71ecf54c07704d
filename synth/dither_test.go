package synth

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestDither: the error of rounding has the mean 0 and the variance of a
// quarter of a step whatever the sample, as triangular dither makes it
// (Lipshitz, Wannamaker & Vanderkooy, "Quantization and dither", JAES 40(5),
// 1992); two channels and two halves of a hash share nothing.
func TestDither(t *testing.T) {
	s := &Sound{set: Settings{Depth: 16, Channels: 1}}
	s.gain.Base = 1
	const n = 1 << 15
	for _, level := range []float64{0, 0.1, 0.5, 0.77, -3.3} {
		in := make([]float32, n)
		for i := range in {
			in[i] = float32(level / 32767)
		}
		left, right := make([]int32, n), make([]int32, n)
		s.quantize(left, append([]float32(nil), in...), 0, 0)
		s.dither(right, in, 0, 1, 32767)
		mean, power, across, along := 0.0, 0.0, 0.0, 0.0
		for i := range left {
			e := float64(left[i]) - level
			mean, power = mean+e/n, power+e*e/n
			across += e * (float64(right[i]) - level) / n
			if i > 0 {
				along += e * (float64(left[i-1]) - level) / n
			}
		}
		assert.InDelta(t, 0, mean, 5*0.5/math.Sqrt(n))
		assert.InDelta(t, 0.25, power, 0.01)
		assert.InDelta(t, 0, across, 0.01)
		assert.InDelta(t, 0, along, 0.01)
	}
}
