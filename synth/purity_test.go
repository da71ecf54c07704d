package synth

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/synth/measure"
)

// TestPurity: the steady part is within a cent of its pitch, with no foreign
// line over -80 dB of the strongest and no DC, at every rate.
func TestPurity(t *testing.T) {
	for _, rate := range []int{22050, 44100, 48000} {
		for _, midi := range []float64{43, 55, 60, 67, 76, 84, 91.37, 96, 101} {
			t.Run(fmt.Sprint(rate, "/", midi), func(t *testing.T) {
				set := Settings{Rate: rate, Depth: 24, Channels: 1, Loudness: -16}
				x := listen(t, tune(note(0.1, 2, midi)), set, quiet)[0]
				x = measure.Cut(x, rate, 0.9, 1.9)
				assert.InDelta(t, 0, measure.Cents(measure.Pitch(x, rate), pitch(midi)), 1, "pitch")
				line, under := measure.Foreign(x, rate, pitch(midi))
				assert.Lessf(t, under, -80.0, "a foreign line at %.1f Hz", line.Hz)
				assert.Less(t, measure.DB(abs(measure.DC(turns(x, rate, pitch(midi))))), -80.0, "DC")
			})
		}
	}
}

// turns is as much of x as is whole turns of a pitch, so that its mean is the
// DC and not what is left of a turn.
func turns(x []float64, rate int, hz float64) []float64 {
	period := float64(rate) / hz
	return x[:int(math.Floor(float64(len(x))/period)*period+0.5)]
}

func abs(x float64) float64 { return max(x, -x) }

// TestChordPurity: both reeds of a chord at their pitches, nothing else.
func TestChordPurity(t *testing.T) {
	x := measure.Cut(listen(t, tune(note(0.1, 2, 72, 76)), dry, quiet)[0], 48000, 0.9, 1.9)
	_, under := measure.Foreign(x, 48000, pitch(72), pitch(76))
	assert.Less(t, under, -80.0)
}

// TestChordBeats: the blow third 4-5 of a C harp beats at 20.8 Hz in equal
// temperament (5·C5 against 4·E5, calculated) and by itself.
func TestChordBeats(t *testing.T) {
	x := measure.Cut(listen(t, tune(note(0.1, 3, 72, 76)), dry, quiet)[0], 48000, 0.9, 2.9)
	centre, apart := measure.Coincidence(pitch(72), pitch(76))
	beat := measure.Beating(x, 48000, centre, 60)
	assert.InDelta(t, 20.8, apart, 0.1)
	assert.InDelta(t, apart, beat.Hz, 0.2)
	assert.Greater(t, beat.Depth, 0.2)
}

// TestSilence: silence is at most 2 of the last bit, and without dither none.
func TestSilence(t *testing.T) {
	for _, depth := range []int{16, 24} {
		set := Settings{Rate: 48000, Depth: depth, Channels: 1, Loudness: -16}
		for _, sc := range []int{0, 1} {
			silent := tune()
			if sc == 1 {
				silent = tune(note(2, 0.5, 72))
			}
			silent.Seconds = max(silent.Seconds, 1)
			s, err := Prepare(silent, set)
			assert.NoError(t, err)
			for _, v := range frames(t, s, 0, 40000) {
				assert.LessOrEqual(t, abs(float64(v)), float64(2*(24-depth)/8))
			}
		}
	}
}
