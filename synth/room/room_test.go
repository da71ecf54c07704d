package room

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestEarlyTaps: 8 to 16 reflections within 190 ms, none at the same time,
// each softer than the direct sound, in any rate.
func TestEarlyTaps(t *testing.T) {
	for _, rate := range []int{22050, 44100, 48000} {
		r := New(1, rate, 2)
		assert.LessOrEqual(t, r.Reach(), rate*190/1000)
		seen := map[int]bool{}
		for i, tap := range r.Taps {
			assert.False(t, seen[tap.Delay])
			seen[tap.Delay] = true
			if i > 0 {
				assert.Less(t, max(tap.Mid, -tap.Mid)+max(tap.Side, -tap.Side), float32(0.5))
			}
		}
		assert.Len(t, r.Taps, 1+Count)
		assert.True(t, Count >= 8 && Count <= 16 && Count%5 == 0)
	}
	assert.True(t, New(0, 48000, 2).Dry())
	assert.Zero(t, New(0, 48000, 2).Reach())
}

// TestImpulse: a single sample comes out as the list of taps, nothing more.
func TestImpulse(t *testing.T) {
	r := New(0.7, 48000, 2)
	bus := make([]float32, 3*r.Reach()+1)
	bus[r.Reach()] = 1
	mid, side := make([]float32, r.Reach()+1), make([]float32, r.Reach()+1)
	r.Mid(mid, bus, r.Reach())
	r.Side(side, bus, r.Reach())
	for _, tap := range r.Taps {
		assert.Equal(t, tap.Mid, mid[tap.Delay])
		assert.Equal(t, tap.Side, side[tap.Delay])
		mid[tap.Delay], side[tap.Delay] = 0, 0
	}
	assert.Equal(t, make([]float32, len(mid)), mid)
	assert.Equal(t, make([]float32, len(mid)), side)
}

// TestMidIsMono: the middle of the two-channel room is the one-channel room.
func TestMidIsMono(t *testing.T) {
	one, two := New(0.4, 44100, 1), New(0.4, 44100, 2)
	for i := range one.Taps {
		assert.Equal(t, one.Taps[i].Mid, two.Taps[i].Mid)
		assert.Zero(t, one.Taps[i].Side)
	}
}
