package dsp

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The standard library is the outside reference: right to the last bits,
// though not to the same last bits on every processor.
func TestAgainstTheStandardLibrary(t *testing.T) {
	for i := -4000; i <= 4000; i++ {
		x := float64(i) / 997
		assert.InDelta(t, math.Sin(2*math.Pi*x), Sin(x), 2e-14)
		assert.InDelta(t, math.Cos(2*math.Pi*x), Cos(x), 2e-14)
		assert.InEpsilon(t, math.Exp2(x), Exp2(x), 1e-14)
		assert.InEpsilon(t, math.Exp(x), Exp(x), 1e-13)
		assert.InDelta(t, math.Log2(math.Exp2(x)), Log2(Exp2(x)), 1e-13)
	}
	assert.Zero(t, Exp2(-2000))
	assert.Zero(t, Exp2(math.Inf(-1)))
	assert.False(t, math.IsInf(Exp2(1e9), 0))
	assert.InEpsilon(t, math.Tan(2*math.Pi*0.04), tan(0.04), 1e-13)
}

func TestDecibels(t *testing.T) {
	assert.InDelta(t, 10, Gain(20), 1e-12)
	assert.InDelta(t, -6.0206, Decibels(0.5), 1e-4)
	assert.Equal(t, -200.0, Decibels(0))
	assert.InDelta(t, 1200, Cents(880, 440), 1e-9)
}

// TestWeighting compares the filters at 48 kHz with the coefficients printed
// in ITU-R BS.1770-4, annex 1, tables 1 and 2.
func TestWeighting(t *testing.T) {
	w := NewWeighting(48000)
	near(t, Section{1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585}, w.shelf)
	near(t, Section{1, -2, 1, -1.99004745483398, 0.99007225036621}, w.pass)
}

func near(t *testing.T, want, got Section) {
	t.Helper()
	for i, pair := range [][2]float64{{want.B0, got.B0}, {want.B1, got.B1}, {want.B2, got.B2}, {want.A1, got.A1}, {want.A2, got.A2}} {
		assert.InDelta(t, pair[0], pair[1], 1e-8, fmt.Sprint("coefficient ", i))
	}
}

// TestFullScale: a sine of 997 Hz at full scale on one channel reads -3.01
// LUFS (ITU-R BS.1770-4, annex 1); at 22.05 kHz the shelf is bent a little by
// half the rate being near.
func TestFullScale(t *testing.T) {
	for rate, within := range map[float64]float64{22050: 0.04, 44100: 0.005, 48000: 0.005} {
		assert.InDelta(t, -3.01, Loudness(0.5*NewWeighting(rate).Power(997/rate)), within)
	}
}

// TestTruePeak: a wave of the highest partial allowed, whose peaks fall
// between the points, is not under its true peak of 1, nor far over it.
func TestTruePeak(t *testing.T) {
	points := make([]float32, 1024)
	for i := range points {
		points[i] = float32(Cos((float64(i) + 0.5) * 32 / 1024))
	}
	assert.InDelta(t, 1, TruePeak(points, 32), 1e-3)
	assert.GreaterOrEqual(t, TruePeak(points, 32), 1-1e-6)
	points = make([]float32, 256)
	for i := range points {
		points[i] = float32(Cos((float64(i) + 0.5) * 64 / 256))
	}
	assert.GreaterOrEqual(t, TruePeak(points, 64), 1-1e-6)
}

// TestHash: all bits of the noise are even and two streams do not agree.
func TestHash(t *testing.T) {
	const n = 1 << 14
	for bit := range 64 {
		ones, same := 0, 0
		for i := range uint64(n) {
			a, b := Hash(i, 1), Hash(i, 2)
			ones += int(a >> bit & 1)
			same += int((a ^ b) >> bit & 1)
		}
		assert.InDelta(t, n/2, ones, 5*math.Sqrt(n)/2, "bit %d", bit)
		assert.InDelta(t, n/2, same, 5*math.Sqrt(n)/2, "bit %d of two", bit)
	}
}

// TestTriangle: mean 0 and a variance of 1/6, as of the sum of two even
// densities one wide (calculated: 1/12 each).
func TestTriangle(t *testing.T) {
	sum, squares, n := 0.0, 0.0, 1<<16
	for i := range n {
		x := Triangle(Hash(uint64(i), 0))
		assert.LessOrEqual(t, math.Abs(x), 1.0)
		sum, squares = sum+x, squares+x*x
	}
	assert.InDelta(t, 0, sum/float64(n), 0.01)
	assert.InDelta(t, 1.0/6, squares/float64(n), 0.003)
}

// TestPhase: advancing in one go is adding step by step, round the turn.
func TestPhase(t *testing.T) {
	phase, step, slope := uint32(4e9), Step(1234.5, 48000), Slope(Step(1234.5, 48000), Step(1200, 48000), 64)
	p, s := phase, step
	for n := 1; n <= 64; n++ {
		p += s
		s += slope
		assert.Equal(t, p, Advance(phase, step, slope, n))
	}
	assert.InDelta(t, float64(Step(1200, 48000)), float64(s), 64)
	assert.InDelta(t, 1234.5, float64(step)*48000/Turn, 1e-5)
}

func TestCurves(t *testing.T) {
	for i := range 101 {
		x := float64(i) / 100
		in, out := FadeIn(x), FadeOut(x)
		assert.InDelta(t, 1, in*in+out*out, 1e-12, "equal power")
		assert.InDelta(t, 1, Smooth(x)+Smooth(1-x), 1e-12)
	}
	assert.Zero(t, Rise(-1))
	assert.InDelta(t, (1-math.Exp(-1))/(1-math.Exp(-7)), Rise(1), 1e-12)
	assert.Equal(t, 1.0, Rise(Settled))
	assert.InDelta(t, 1, Rise(Settled-1e-9), 1e-12)
	assert.Equal(t, []float64{0, 1}, []float64{Smooth(-3), Smooth(3)})
}

// TestAddScaled against the sum one at a time.
func TestAddScaled(t *testing.T) {
	for n := range 11 {
		for in := range 11 {
			out := make([]float32, n)
			for i := range out {
				out[i] = float32(i)
			}
			AddScaled(out, []float32{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}[:in], 0.5)
			for i, v := range out {
				want := float32(i)
				if i < in {
					want += float32(i+1) / 2
				}
				assert.Equal(t, want, v, "%d of %d and %d", i, n, in)
			}
		}
	}
}
