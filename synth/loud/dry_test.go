package loud

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/synth/room"
)

// TestSettled: peaks that are taken in little by little, as what begins later comes,
// are those of the whole sound put into its room at once.
func TestSettled(t *testing.T) {
	const rate, seconds = 48000, 90
	dice := rand.New(rand.NewPCG(1, 2))
	for _, size := range []float64{0, 0.7} {
		r := room.New(size, rate, 2)
		l := newEstimate(seconds*rate, rate, newAcoustics(r, rate, 2))
		all := make([]float64, l.dry.end+200)
		for at := 0; at < seconds*rate; at += dice.IntN(3 * rate) {
			amps := make([]float64, 1+dice.IntN(9000)) // the longest sound on under many others
			l.settleBefore(int64(at))
			first := l.peakEntry(int64(at))
			for i := range amps {
				amps[i] = dice.Float64()
			}
			l.addPeaks(first, amps)
			for i := -1; i < len(amps); i++ {
				if k := first + i; k >= 0 && k < l.dry.end {
					all[k] += max(amps[max(i, 0)], amps[min(i+1, len(amps)-1)])
				}
			}
		}
		assert.Less(t, len(l.dry.peaks), 20*reflected, "only some seconds are kept")
		l.complete()
		for i, got := range l.peak {
			want := 0.0
			for k := finer * i; k < finer*(i+1); k++ {
				want = max(want, inRoom(all, k, r))
			}
			assert.InDelta(t, want, got, 1e-4)
		}
	}
}

// inRoom is a bound on the louder channel between fine entry k and the next.
func inRoom(dry []float64, k int, r room.Room) float64 {
	before := func(i int) float64 {
		if i < 0 {
			return 0
		}
		return dry[i]
	}
	left, right := dry[k], dry[k]
	for _, tap := range r.Taps[1:] {
		at := k - tap.Delay*peaksPerSecond/48000
		high := max(before(at), before(at-1))
		left += math.Abs(float64(tap.Mid+tap.Side)) * high
		right += math.Abs(float64(tap.Mid-tap.Side)) * high
	}
	return max(left, right)
}
