package measure_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/synth/measure"
)

// stretch is a 1 kHz sine at a peak level in dBFS for some seconds.
type stretch struct{ level, seconds float64 }

func programme(rate int, parts ...stretch) [][]float64 {
	var x []float64
	for _, p := range parts {
		x = append(x, tone(1000, p.seconds, rate, math.Pow(10, p.level/20))...)
	}
	return [][]float64{x, x}
}

// ref: EBU Tech 3341 (2016), table 1, test cases 1 to 5: each to be read within
// 0.1 LU. Those are stereo at 48 kHz; the other rates must agree.
func TestEBUTech3341(t *testing.T) {
	cases := []struct {
		want  float64
		parts []stretch
	}{
		{-23, []stretch{{-23, 20}}},
		{-33, []stretch{{-33, 20}}},
		{-23, []stretch{{-36, 10}, {-23, 60}, {-36, 10}}},
		{-23, []stretch{{-72, 10}, {-36, 10}, {-23, 60}, {-36, 10}, {-72, 10}}},
		{-23, []stretch{{-26, 20}, {-20, 20.1}, {-26, 20}}},
	}
	for i, c := range cases {
		for _, rate := range []int{48000, 44100, 22050} {
			got := measure.Integrated(programme(rate, c.parts...), rate)
			assert.InDelta(t, c.want, got, 0.1, "case %d at %d", i+1, rate)
		}
	}
}

// ref: ITU-R BS.1770-4, annex 1: a 997 Hz sine at full scale on one of left,
// right and centre reads -3.01 LKFS. At 22,050 frames a second the bilinear
// transform bends the shelf by 0.03 dB.
func TestFullScaleSine(t *testing.T) {
	for rate, within := range map[int]float64{48000: 0.005, 44100: 0.005, 22050: 0.04} {
		x := [][]float64{tone(997, 10, rate, 1)}
		assert.InDelta(t, -3.01, measure.Integrated(x, rate), within, "%d", rate)
		assert.InDelta(t, -3.01, measure.Momentary(x, rate), within, "%d", rate)
	}
}

func TestSilenceHasNoLoudness(t *testing.T) {
	x := [][]float64{make([]float64, rate)}
	assert.True(t, math.IsInf(measure.Integrated(x, rate), -1))
	assert.True(t, math.IsInf(measure.Momentary(x, rate), -1))
	assert.True(t, math.IsInf(measure.Integrated([][]float64{make([]float64, 100)}, rate), -1))
}

func TestMomentaryOfAShortSound(t *testing.T) {
	x := [][]float64{tone(997, 0.2, rate, 1)}
	assert.InDelta(t, -3.01-3.01, measure.Momentary(x, rate), 0.05, "half of 400 ms is half the power")
}

// ref: EBU Tech 3341 (2016), table 1, test cases 15 to 19: sines whose peaks fall
// between samples, to be read within +0.2 and -0.4 dB.
func TestTruePeak(t *testing.T) {
	cases := []struct{ divisor, phase, amplitude, want float64 }{
		{4, 0, 0.50, -6}, {4, 45, 0.50, -6}, {6, 60, 0.50, -6}, {8, 67.5, 0.50, -6}, {4, 45, 1.41, 3},
	}
	for i, c := range cases {
		x := make([]float64, rate)
		for n := range x {
			x[n] = c.amplitude * math.Sin(2*math.Pi*float64(n)/c.divisor+c.phase*math.Pi/180)
		}
		got := measure.TruePeak([][]float64{shaped(x, rate, fade)})
		assert.GreaterOrEqual(t, got, c.want-0.4, "case %d", i+15)
		assert.LessOrEqual(t, got, c.want+0.2, "case %d", i+15)
	}
}

// fade keeps the ends of a one-second sine from being steps, which overshoot.
func fade(t float64) float64 { return min(1, t/0.1, (1-t)/0.1) }

func TestTruePeakOfAReedLikeTone(t *testing.T) {
	fine := tone(523.251, 0.5, 64*rate, bright...) // the waveform as good as continuous
	top := 0.0
	for _, v := range fine[64*rate/10 : 64*rate/10*4] {
		top = max(top, math.Abs(v))
	}
	got := measure.TruePeak([][]float64{tone(523.251, 0.5, rate, bright...)[rate/10 : rate/10*4]})
	assert.InDelta(t, measure.DB(top), got, 0.1)
}
