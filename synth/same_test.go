package synth

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/score"
)

// mixed is a tune with something of everything, and a setting that takes every
// way through the renderer.
func mixed(t testing.TB, seed uint64, n int, set Settings) *Sound {
	t.Helper()
	sc := invent(newSeeded(seed), n, beats{0.2, 0.5})
	if seed%2 == 0 && seed < 40 { // those of the goldens are plain
		alive(sc)
	}
	s, err := Prepare(sc, set)
	require.NoError(t, err)
	return s
}

var roomy = Settings{Rate: 44100, Depth: 16, Channels: 2, Room: 0.5, Loudness: -12}

// TestRanges: any range of frames, rendered alone, is what the whole has there.
func TestRanges(t *testing.T) {
	for _, set := range []Settings{roomy, dry} {
		s := mixed(t, 7, 12, set)
		whole := frames(t, s, 0, s.Frames())
		c := newSeeded(3)
		for range 40 {
			from := int64(c.number(0, int(s.Frames())))
			to := min(s.Frames(), from+int64(c.number(0, 30000)))
			k := int64(set.Channels)
			require.Equal(t, whole[k*from:k*to], frames(t, s, from, to), "%d to %d", from, to)
		}
	}
	s := mixed(t, 7, 3, dry)
	assert.Error(t, s.Samples(context.Background(), -1, 2, nil))
	assert.Error(t, s.Samples(context.Background(), 0, s.Frames()+1, nil))
	assert.Error(t, s.Samples(context.Background(), 3, 2, nil))
}

// TestPlayer: ranges rendered one after the other are those of the whole, whether
// they follow each other, leave something out, go back, or were broken off.
func TestPlayer(t *testing.T) {
	split := dry
	split.Channels, split.Split, split.Room = 2, true, 0.3
	for _, set := range []Settings{roomy, dry, split} {
		s := mixed(t, 7, 12, set)
		whole, p := frames(t, s, 0, s.Frames()), s.Player()
		c, k, at := newSeeded(4), int64(set.Channels), int64(0)
		for i := range 60 {
			switch i % 10 {
			case 5:
				at = int64(c.number(0, int(s.Frames())))
			case 7:
				broken := errors.New("broken off")
				require.ErrorIs(t, p.Samples(t.Context(), at, s.Frames(), func([]int32) error { return broken }), broken)
			}
			to := min(s.Frames(), at+int64(c.number(1, 700))*64+int64(i%9/8))
			var got []int32
			require.NoError(t, p.Samples(t.Context(), at, to, func(b []int32) error { got = append(got, b...); return nil }))
			require.Equal(t, whole[k*at:k*to], got, "%d to %d", at, to)
			at = to % s.Frames()
		}
		require.Error(t, p.Samples(t.Context(), 0, s.Frames()+1, nil))
	}
}

// TestProcessors: however many render, the bytes are the same.
func TestProcessors(t *testing.T) {
	s := mixed(t, 11, 60, roomy)
	want := frames(t, s, 0, s.Frames())
	for _, procs := range []int{1, 2, 8} {
		before := runtime.GOMAXPROCS(procs)
		for _, workers := range []int{1, 2, mostWorkers} {
			var got []int32
			require.NoError(t, s.newLine(workers).render(context.Background(), 0, s.Frames(), func(block []int32) error {
				got = append(got, block...)
				return nil
			}))
			require.Equal(t, want, got, "%d workers on %d processors", workers, procs)
		}
		runtime.GOMAXPROCS(before)
	}
	require.Equal(t, want, frames(t, mixed(t, 11, 60, roomy), 0, s.Frames()), "prepared again")
}

// TestLong: a sound long enough for more than one processor is the same in
// short ranges, which one renders alone.
func TestLong(t *testing.T) {
	s, err := Prepare(tune(note(0.1, 0.5, 72), note(190.2, 0.7, 60)), Settings{Rate: 22050, Depth: 16, Channels: 1, Loudness: -16})
	require.NoError(t, err)
	require.Greater(t, s.Frames(), int64(longFrames), "long enough to be shared out")
	whole, pieces := digest(frames(t, s, 0, s.Frames())), []int32(nil)
	for at := int64(0); at < s.Frames(); at += longFrames / 3 {
		pieces = append(pieces, frames(t, s, at, min(s.Frames(), at+longFrames/3))...)
	}
	require.Equal(t, whole, digest(pieces))
}

// TestSharedTables: a cache too small for the tune, or warm from another,
// changes nothing.
func TestSharedTables(t *testing.T) {
	set := roomy
	want := frames(t, mixed(t, 5, 20, set), 0, 100000)
	for _, bytes := range []int{1, 1 << 16, 1 << 24} {
		set.Tables = newTables(bytes)
		mixed(t, 6, 20, set)
		s := mixed(t, 5, 20, set)
		s.set.Tables = set.Tables
		require.Equal(t, want, frames(t, s, 0, 100000))
	}
}

// TestStops: an error of the receiver and an ended context stop a render.
func TestStops(t *testing.T) {
	s := mixed(t, 11, 60, roomy)
	full := errors.New("disk full")
	assert.ErrorIs(t, s.Samples(context.Background(), 0, s.Frames(), func([]int32) error { return full }), full)
	ctx, cancel := context.WithCancel(context.Background())
	n := 0
	err := s.Samples(ctx, 0, s.Frames(), func([]int32) error { n++; cancel(); return nil })
	assert.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, 1, n)
}

// TestNeverClamps: the net at full scale never acts, loud as the tune may be: all
// samples stay under -1 dB of full scale, at every rate, depth and number of
// channels, dry and in the largest room.
func TestNeverClamps(t *testing.T) {
	highest := 0.0
	for i := range 36 {
		set := Settings{
			Rate: []int{22050, 44100, 48000}[i%3], Depth: []int{16, 24}[i/3%2], Channels: 1 + i/6%2,
			Room: float64(i/12) / 2, Loudness: MaxLoudness,
		}
		s := mixed(t, uint64(i), 6, set)
		full := math.Exp2(float64(set.Depth - 1))
		for _, v := range frames(t, s, 0, s.Frames()) {
			highest = max(highest, math.Abs(float64(v))/full)
		}
		require.Less(t, highest, math.Pow(10, -1.0/20), "%+v", set)
	}
	require.Greater(t, highest, 0.5, "loud enough to try it")
}

// digest is the SHA-256 of a range of samples as little-endian bytes.
func digest(samples []int32) string {
	h := sha256.New()
	_ = binary.Write(h, binary.LittleEndian, samples)
	return hex.EncodeToString(h.Sum(nil))
}

// TestTiedAgain: notes that do not touch are not one sound, tied or not.
func TestTiedAgain(t *testing.T) {
	a, b := note(0.1, 0.2, 72), note(0.6, 0.2, 72)
	b.Onset = score.Tied
	s, err := Prepare(tune(a, b), dry)
	require.NoError(t, err)
	assert.Len(t, blows(s), 2)
}
