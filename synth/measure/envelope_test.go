package measure_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/synth/measure"
)

// The gain 1-exp(-t/T) from 0.2 s on passes a tenth after T ln(10/9) and rises
// from 10 to 90 % in T ln 9.
func TestOnsetAndAttack(t *testing.T) {
	const T = 0.018
	for _, f0 := range []float64{261.63, 1046.5} {
		gain := func(t float64) float64 { return max(0, 1-math.Exp(-(t-0.2)/T)) }
		x := shaped(tone(f0, 1, rate, 0.5, 0.2), rate, gain)
		env := measure.Envelope(x, rate, max(0.004, 2/f0), 0.0005)
		steady := env.Steady(0.5, 0.9)
		assert.InDelta(t, measure.RMS(measure.Cut(x, rate, 0.5, 0.9)), steady, steady*0.01)
		assert.InDelta(t, 0.2+T*math.Log(10.0/9), env.Onset(0, steady), 0.003, "%g Hz", f0)
		assert.InDelta(t, T*math.Log(9), env.Attack(0, steady), 0.003, "%g Hz", f0)
		assert.True(t, math.IsNaN(env.Onset(0.5, steady)), "no second onset")
	}
}

// A line down in 25 ms is at 90 % a tenth and at 10 % nine tenths of the way.
func TestRelease(t *testing.T) {
	gain := func(t float64) float64 { return min(1, max(0, 1-(t-0.5)/0.025)) }
	x := shaped(tone(523.25, 1, rate, 0.5, 0.2), rate, gain)
	env := measure.Envelope(x, rate, 0.004, 0.0005)
	assert.InDelta(t, 0.020, env.Release(0.3, env.Steady(0.2, 0.4)), 0.002)
	assert.True(t, math.IsNaN(env.Release(0.3, 0)))
	assert.True(t, math.IsNaN(env.Release(0.3, 9)), "it never sounds that loud")
}

// A release that wavers round 90 % counts from the last time it is there.
func TestReleaseThatWavers(t *testing.T) {
	env := measure.Levels{Hop: 0.001, Value: []float64{1, 0.95, 0.85, 0.92, 0.89, 0.93, 0.5, 0.05, 0}}
	assert.InDelta(t, 0.0068889-0.0050698, env.Release(0, 1), 1e-6)
}

func TestDip(t *testing.T) {
	gain := func(t float64) float64 {
		if t >= 0.48 && t < 0.5 {
			return 0.01
		}
		return 1
	}
	x := shaped(tone(880, 1, rate, 0.5), rate, gain)
	gap := measure.Envelope(x, rate, 0.004, 0.0005).Dip(0.4, 0.6)
	assert.InDelta(t, 40, gap.Depth, 0.5)
	assert.InDelta(t, 0.49, gap.At, 0.01)
	assert.InDelta(t, 0.017, gap.Width, 0.003)
	none := measure.Envelope(tone(880, 1, rate, 0.5), rate, 0.004, 0.0005).Dip(0.4, 0.6)
	assert.Less(t, none.Depth, 0.3)
	assert.Zero(t, none.Width)
}

func TestCutStaysInside(t *testing.T) {
	x := tone(440, 0.1, rate, 1)
	assert.Len(t, measure.Cut(x, rate, -1, 9), len(x))
	assert.Empty(t, measure.Cut(x, rate, 2, 3))
	assert.Len(t, measure.Cut(x, rate, 0.01, 0.02), 480)
}
