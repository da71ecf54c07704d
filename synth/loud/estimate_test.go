package loud

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/synth/dsp"
	"reedlark/synth/room"
)

// steady is an estimate of so many seconds, each with a level in LUFS.
func steadyAt(seconds ...float64) *estimate {
	l := newEstimate(int64(len(seconds))*48000, 48000, newAcoustics(room.New(0, 48000, 1), 48000, 1))
	for i := range l.power {
		s := min(i/perSecond, len(seconds)-1)
		l.addPower(i, power(seconds[s]))
	}
	return l
}

// many repeats a level for so many seconds.
func many(seconds int, lufs float64) []float64 {
	out := make([]float64, seconds)
	for i := range out {
		out[i] = lufs
	}
	return out
}

// TestGates runs the loudness cases of EBU Tech 3341 (2023), table 1, signals
// 1 to 5, as levels.
func TestGates(t *testing.T) {
	join := func(parts ...[]float64) (out []float64) {
		for _, p := range parts {
			out = append(out, p...)
		}
		return out
	}
	for i, c := range []struct {
		levels []float64
		want   float64
	}{
		{many(20, -23), -23},
		{many(20, -33), -33},
		{join(many(10, -36), many(60, -23), many(10, -36)), -23},
		{join(many(10, -72), many(10, -36), many(60, -23), many(10, -36), many(10, -72)), -23},
		{join(many(20, -26), many(20, -20), many(20, -26)), -23},
	} {
		assert.InDeltaf(t, c.want, steadyAt(c.levels...).loudness(unity), 0.1, "signal %d", i+1)
	}
}

func TestShortAndSilent(t *testing.T) {
	assert.InDelta(t, -20, steadyAt(-70, -20).loudness(unity), 1e-6)
	l := newEstimate(100, 48000, newAcoustics(room.New(0, 48000, 1), 48000, 1))
	assert.True(t, l.silent())
	gain, fit := l.fit(-16)
	assert.Equal(t, 1.0, gain.Base)
	assert.Equal(t, -200.0, fit.Loudness)
}

// TestFit: the gain brings the loudness to the target; where peaks forbid it
// the curve holds them under the limit everywhere, moves little by little, and
// the fit says what was lost.
func TestFit(t *testing.T) {
	l := steadyAt(many(10, -30)...)
	gain, fit := l.fit(-20)
	assert.InDelta(t, 10, dsp.Decibels(gain.Base), 1e-6)
	assert.Equal(t, Report{Loudness: -20, Peak: -200, Gain: dsp.Decibels(gain.Base)}, fit)

	for _, every := range []int{1, 370} {
		for i := 0; i < len(l.peak); i += every {
			l.peak[i] = 2
		}
		gain, fit = l.fit(-20)
		limit := dsp.Gain(MaxPeakDB)
		for i, p := range l.peak {
			frame := l.frame(i)
			for f := frame; f <= frame+480; f += 40 {
				assert.LessOrEqual(t, float64(p)*gain.at(f), limit+1e-6)
			}
			assert.InDelta(t, gain.at(frame), gain.at(frame+480), 0.15*gain.Base)
		}
		assert.Equal(t, every == 1, fit.PeakWins, "a few peaks cost no loudness")
		assert.InDelta(t, l.loudness(gain.entry), fit.Loudness, 1e-9)
		l = steadyAt(many(10, -30)...)
	}
}

// TestCurve: samples multiplied in pieces are those multiplied at once.
func TestCurve(t *testing.T) {
	g := Gain{Base: 2, curve: []float32{2, 1, 2, 0.5, 2}, rate: 48000}
	whole := make([]float32, 1900)
	for i := range whole {
		whole[i] = 1
	}
	pieces := append([]float32(nil), whole...)
	g.Curve(whole, 0)
	for at := 0; at < len(pieces); at += 77 {
		g.Curve(pieces[at:min(at+77, len(pieces))], int64(at))
	}
	assert.Equal(t, whole, pieces)
	assert.InDelta(t, 0.75, whole[240], 1e-3)
}

// TestSteadyRoom: the power of a line in a room is that of the sum of its
// reflections as complex numbers.
func TestSteadyRoom(t *testing.T) {
	r := room.New(0.8, 48000, 2)
	a := newAcoustics(r, 48000, 2)
	for _, hz := range []float64{100, 440, 523.25, 3000.7} {
		var left, right complex128
		for _, tap := range r.Taps {
			s, c := math.Sincos(2 * math.Pi * hz * float64(tap.Delay) / 48000)
			left += complex(c, -s) * complex(float64(tap.Mid+tap.Side), 0)
			right += complex(c, -s) * complex(float64(tap.Mid-tap.Side), 0)
		}
		want := square(left) + square(right)
		assert.InDelta(t, want, a.steadyPower(hz), 1e-5)
	}
}

func square(c complex128) float64 { return real(c)*real(c) + imag(c)*imag(c) }
