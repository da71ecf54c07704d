package measure_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
)

func TestPartials(t *testing.T) {
	for _, f0 := range []float64{195.997, 523.251, 1318.51} {
		got := measure.Partials(tone(f0, 0.5, rate, bright...), rate, f0, 12)
		require.Len(t, got, 12)
		for i, want := range bright {
			assert.InDelta(t, 0, measure.DB(got[i]/want), 0.02, "partial %d of %g Hz", i+1, f0)
		}
		assert.Less(t, got[11], 1e-4, "a partial that is not there")
	}
	assert.Zero(t, measure.Partials(tone(5000, 0.5, rate, 1), rate, 5000, 6)[4], "beyond half the rate")
}

func TestSpectrumFindsEachLine(t *testing.T) {
	x := plus(tone(440, 1, rate, 0.5), tone(1234.5, 1, rate, 0.01), tone(9876.54, 1, rate, 0.001))
	lines := measure.Spectrum(x, rate, -70)
	require.Len(t, lines, 3)
	for i, want := range []measure.Line{{Hz: 440, Amplitude: 0.5}, {Hz: 1234.5, Amplitude: 0.01}, {Hz: 9876.54, Amplitude: 0.001}} {
		assert.InDelta(t, want.Hz, lines[i].Hz, 0.02)
		assert.InDelta(t, 0, measure.DB(lines[i].Amplitude/want.Amplitude), 0.02)
	}
}

func TestForeign(t *testing.T) {
	clean := tone(523.25, 1, rate, bright...)
	_, level := measure.Foreign(clean, rate, 523.25)
	assert.Less(t, level, -85.0, "the window's own side lobes")
	line, level := measure.Foreign(plus(clean, tone(10001.5, 1, rate, 0.3e-3)), rate, 523.25)
	assert.InDelta(t, 10001.5, line.Hz, 0.1)
	assert.InDelta(t, -60, level, 0.1)
	_, level = measure.Foreign(plus(clean, tone(659.26, 1, rate, 0.3)), rate, 523.25, 659.26)
	assert.Less(t, level, -85.0, "both reeds of a chord are native")
}

// White noise of a known level is read in a band it fills a known part of.
func TestNoise(t *testing.T) {
	x := tone(440, 1, rate, 0.5) // RMS -9.03 dB
	x = plus(x, hiss(len(x), 0.5/math.Sqrt2*math.Pow(10, -40.0/20)))
	want := -40 + 10*math.Log10(7000.0/24000)
	assert.InDelta(t, want, measure.Noise(x, rate, 440, 1000, 8000), 0.5)
}

func TestDistance(t *testing.T) {
	assert.InDelta(t, 0, measure.Distance([]float64{0, -3, -9}, []float64{5, 2, -4}), 1e-12, "level does not count")
	assert.InDelta(t, 3, measure.Distance([]float64{0, 6}, []float64{0, 0}), 1e-12)
	assert.InDelta(t, 30, measure.Distance([]float64{0, -90}, []float64{0, 0}), 1e-12, "no deeper than 60 dB")
}

func TestLevelsOfASine(t *testing.T) {
	x := tone(1000, 1, rate, 0.5)
	assert.InDelta(t, 0.5/math.Sqrt2, measure.RMS(x), 1e-6)
	for i := range x {
		x[i] += 0.01
	}
	assert.InDelta(t, 0.01, measure.DC(x), 1e-9)
}
