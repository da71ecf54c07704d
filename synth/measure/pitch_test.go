package measure_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
)

// Every semitone from the lowest reed of a low G harp bent down to the highest
// of a high F# harp overdrawn: the pitch of a steady tone is found to 0.03 cent.
func TestPitchOfSteadyTones(t *testing.T) {
	worst := 0.0
	for _, rate := range []int{22050, 48000} {
		for n := 42; n <= 115; n++ {
			want := 440 * math.Pow(2, (float64(n)+0.137-69)/12) // ref: MIDI Tuning Standard, off the grid
			x := tone(want, 0.3, rate, bright[:audible(want, rate)]...)
			off := math.Abs(measure.Cents(measure.Pitch(x, rate), want))
			worst = max(worst, off)
			require.LessOrEqual(t, off, 0.03, "note %d at %d frames a second", n, rate)
		}
	}
	t.Logf("worst %.4f cent", worst)
}

func audible(f0 float64, rate int) int {
	return min(len(bright), int(0.45*float64(rate)/f0))
}

func TestPitchOfWeakFundamentalAndNoise(t *testing.T) {
	for _, f0 := range []float64{196, 523.25, 1318.5, 2637} {
		x := tone(f0, 0.5, rate, 0.02, 0.2, 0.3)
		x = plus(x, hiss(len(x), 0.01)) // breath, 28 dB under the tone
		assert.InDelta(t, 0, measure.Cents(measure.Pitch(x, rate), f0), 0.2, "%g Hz", f0)
	}
}

func TestNoPitch(t *testing.T) {
	assert.Zero(t, measure.Pitch(make([]float64, rate), rate), "silence")
	assert.Zero(t, measure.Pitch(tone(440, 0.03, rate, 1), rate), "too short")
	assert.Zero(t, measure.Pitch(nil, rate), "nothing")
}

// A glide of two semitones in 200 ms, S-shaped in cents, is followed within 5
// cents every 10 ms.
func TestTrackFollowsAGlide(t *testing.T) {
	for _, from := range []float64{392, 932.33, 2093} {
		path := func(t float64) float64 {
			u := min(max((t-0.1)/0.2, 0), 1)
			return from * math.Pow(2, -2*(u*u*(3-2*u))/12)
		}
		points := measure.Track(glide(path, 0.4, rate), rate, 0.012, 0.01, from*0.8, from*1.2)
		require.NotEmpty(t, points)
		for _, p := range points {
			assert.InDelta(t, 0, measure.Cents(p.Hz, path(p.Seconds)), 5, "%.0f ms, from %g Hz", p.Seconds*1000, from)
		}
	}
}

func TestTrackOfSteadyToneIsExact(t *testing.T) {
	for _, f0 := range []float64{98, 261.63, 987.77, 2959.96} {
		x := tone(f0, 0.3, rate, bright[:audible(f0, rate)]...)
		for _, p := range measure.Track(x, rate, 0.015, 0.01, f0*0.75, f0*1.3) {
			assert.InDelta(t, 0, measure.Cents(p.Hz, f0), 1, "%g Hz at %.0f ms", f0, p.Seconds*1000)
			assert.Greater(t, p.Clarity, 0.95)
		}
	}
}

// The middle voice of a chord that glides while the others stand still.
func TestFollowOneVoiceOfAChord(t *testing.T) {
	path := func(t float64) float64 { return 659.26 * math.Pow(2, -t/12) }
	x := plus(glide(path, 1, rate), tone(523.25, 1, rate, 0.3, 0.2, 0.2), tone(783.99, 1, rate, 0.3, 0.2, 0.2))
	points := measure.Follow(x, rate, 0.05, 0.01, func(float64) float64 { return 650 })
	require.Greater(t, len(points), 90)
	for _, p := range points {
		assert.InDelta(t, 0, measure.Cents(p.Hz, path(p.Seconds)), 4, "%.0f ms", p.Seconds*1000)
	}
}

func TestVibrato(t *testing.T) {
	path := func(t float64) float64 { return 500 * math.Pow(2, 15*(math.Cos(2*math.Pi*6*t)-1)/1200) }
	w := measure.Vibrato(measure.Track(glide(path, 1.5, rate), rate, 0.01, 0.005, 400, 600))
	assert.InDelta(t, 6, w.Hz, 0.1)
	assert.InDelta(t, 30, w.Cents, 2)
}

func ExamplePitch() {
	x := make([]float64, 24000) // half a second of A4
	for i := range x {
		x[i] = math.Sin(2 * math.Pi * 440 * float64(i) / 48000)
	}
	fmt.Printf("%.3f Hz\n", measure.Pitch(x, 48000))
	// Output: 440.000 Hz
}
