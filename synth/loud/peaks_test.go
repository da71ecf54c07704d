package loud

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/dsp"
	"reedlark/synth/room"
)

// TestEar: what the bounds doubt is heard, between the samples too, and nothing else
// is changed. A sine at a quarter of the rate whose samples lie 45 degrees beside its
// peaks shows 0.707 of them. ref: ITU-R BS.1770-4, annex 2, attachment 1.
func TestEar(t *testing.T) {
	const rate, full = 44100, 1 << 20
	l := newEstimate(10*rate, rate, newAcoustics(room.New(0, rate, 1), rate, 1))
	for i := range l.power {
		l.addPower(i, power(-20))
		l.peak[i] = 0.1
	}
	high := dsp.Gain(MaxPeakDB) // as loud as it may be, so half as high again is not
	for i := 200; i < 300; i++ {
		l.peak[i] = float32(1.5 * high)
	}
	l.peak[310], l.peak[700] = float32(1.5*high), float32(0.9*high)
	loud := l.loud(-20)
	require.Len(t, loud, 2)
	assert.Equal(t, []int{200, 311, 700, 701}, []int{loud[0].from, loud[0].to, loud[1].from, loud[1].to})
	for _, s := range loud {
		s.forget()
		from, to := s.frames(10 * rate)
		meter := s.peakMeter(1, full)
		for at := from; at < to; at += 1000 {
			block := make([]int32, min(1000, to-at))
			for i := range block {
				block[i] = int32(full * 0.7 * math.Sin(math.Pi*(float64(at+int64(i))/2+0.25)))
			}
			_ = meter.add(block)
		}
	}
	for i, p := range l.peak[:len(l.peak)-2] {
		switch {
		case i >= 200 && i < 311 || i == 700:
			assert.InDelta(t, 0.7, p, 0.02, i)
			assert.Greater(t, p, float32(0.7))
		default:
			assert.Equal(t, float32(0.1), p, i)
		}
	}
	assert.Empty(t, l.loud(-20), "heard once, all is known")
}

// TestEarAtTheEnd: where a sound ends while it is loud, no bound is lost.
func TestEarAtTheEnd(t *testing.T) {
	const rate, full = 22050, 1 << 20
	for _, frames := range []int64{0, 1, 100, 300, 500, 700, rate, rate + 37, rate + 220, rate + 221, rate + 440} {
		l := newEstimate(frames, rate, newAcoustics(room.New(0, rate, 1), rate, 1))
		for i := range l.power {
			l.addPower(i, power(-20))
			l.peak[i] = 1
		}
		for _, s := range l.loud(-20) {
			s.forget()
			from, to := s.frames(frames)
			block := make([]int32, to-from)
			for i := range block {
				block[i] = full / 2
			}
			_ = s.peakMeter(1, full).add(block)
		}
		for i, p := range l.peak {
			assert.GreaterOrEqual(t, p, float32(0.5), "entry %d of %d", i, len(l.peak))
		}
		if frames >= rate {
			assert.Less(t, l.peak[len(l.peak)-4], float32(0.8), "all that can be heard is")
		}
	}
}
