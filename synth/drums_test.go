package synth

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
	"reedlark/tab/score"
)

// kitted gives a tune drums of every kind.
func kitted(c chooser, sc *score.Score) *score.Score {
	beat := c.real(0.3, 0.7)
	all := []score.Player{score.Kick, score.Hat, score.Snare, score.Shaker, score.Brush}
	for i := 0; float64(i+1)*beat/2 < sc.Seconds; i++ {
		sc.Backing = append(sc.Backing, score.Backing{
			Player: all[i%len(all)], Start: float64(i) * beat / 2, Seconds: beat / 4, Accent: -float64(i%3) * 2,
		})
	}
	return sc
}

// TestLoudnessWithDrums: within 0.5 LU of what was asked for, peaks under the bound and
// the bound under -1.2 dBTP, in every room, plain and played, loud and soft.
func TestLoudnessWithDrums(t *testing.T) {
	for i := range 40 {
		sc, set := loudnessCase(300 + i)
		c := newSeeded(uint64(i))
		sc = kitted(c, sc)
		switch i % 4 {
		case 1:
			sc = accompany(c, sc)
		case 2:
			sc.Notes = nil
		case 3:
			set.Channels, set.Split, set.Loudness = 2, true, -12
		}
		s, err := Prepare(sc, set)
		require.NoError(t, err)
		x := channels(frames(t, s, 0, s.Frames()), set)
		assert.InDeltaf(t, s.Report().Loudness, measure.Integrated(x, set.Rate), 0.5, "tune %d of %.1f s, %+v, %+v", i, sc.Seconds, set, s.Report())
		assert.LessOrEqual(t, measure.TruePeak(x), s.Report().Peak+0.05)
		assert.LessOrEqual(t, s.Report().Peak, -1.2+1e-9)
	}
}

// TestBandIsOnTheBeat: every stroke of the band, bass and chords too, passes -10 dB of
// its strongest within 5 ms of its beat.
func TestBandIsOnTheBeat(t *testing.T) {
	pitched := map[score.Player][]float64{score.Bass: {38, 45, 52}, score.Comping: {53, 60, 69}}
	for _, who := range []score.Player{score.Bass, score.Comping, score.Kick, score.Snare, score.Brush, score.Hat, score.Shaker} {
		for _, midi := range append(pitched[who], 0)[:max(len(pitched[who]), 1)] {
			b := score.Backing{Player: who, Start: 0.3, Seconds: 0.5}
			window := 0.003
			if midi > 0 {
				b.Hz, window = pitch(midi), 2/pitch(midi)
			}
			sc := tune()
			sc.Seconds, sc.Backing = 1.5, []score.Backing{b}
			env := measure.Envelope(listen(t, sc, dry, quiet)[0], 48000, window, 0.0005)
			highest := 0.0
			for _, v := range env.Value {
				highest = max(highest, v)
			}
			at := 1e3 * (env.Rise(0.2, 0.3162*highest) - 0.3)
			if midi > 0 {
				at = 1e3 * (rises(listen(t, sc, dry, quiet)[0], 0.3162) - 0.3)
			}
			t.Logf("%s %v: %.1f ms", who, midi, at)
			assert.Truef(t, math.Abs(at) <= 5, "%s %v: %.1f ms", who, midi, at)
		}
	}
}

// rises is when a sound first passes a part of its highest sample, seconds: what is
// slower than a window can tell.
func rises(x []float64, part float64) float64 {
	highest := 0.0
	for _, v := range x {
		highest = max(highest, math.Abs(v))
	}
	for i, v := range x {
		if math.Abs(v) >= part*highest {
			return float64(i) / 48000
		}
	}
	return math.NaN()
}

// TestPlayersAreParts: the players' parts add up to all that plays along, and each is
// heard by itself.
func TestPlayersAreParts(t *testing.T) {
	sc := kitted(newSeeded(5), invent(newSeeded(2), 12, beats{0.3, 0.5}))
	sc.Backing = append(sc.Backing, score.Backing{Player: score.Bass, Hz: pitch(43), Start: 0.2, Seconds: 1})
	sc.Clicks = []score.Click{{Start: 0.1}}
	for _, set := range []Settings{
		{Rate: 48000, Depth: 24, Channels: 1, Room: 0.3, Loudness: -20},
		{Rate: 48000, Depth: 24, Channels: 2, Split: true, Loudness: -20},
	} {
		s, err := Prepare(sc, set)
		require.NoError(t, err)
		players := s.Players()
		assert.Equal(t, []score.Player{score.Bass, score.Brush, Clicks, score.Hat, score.Kick, score.Shaker, score.Snare}, players)
		whole := frames(t, s.Stem(Rest), 0, s.Frames())
		sum := make([]int32, len(whole))
		for _, who := range players {
			part, heard := frames(t, s.Part(who), 0, s.Frames()), false
			for i, v := range part {
				sum[i] += v
				heard = heard || v > 1000
			}
			assert.True(t, heard, who)
		}
		for i, v := range whole {
			require.InDelta(t, float64(v), float64(sum[i]), 16)
		}
	}
}

// TestHarpIsInFront: by 7 LU, whatever plays along and however loud it is written.
func TestHarpIsInFront(t *testing.T) {
	for i := range 8 {
		c := newSeeded(uint64(40 + i))
		sc := alive(invent(c, 24, beats{0.4, 0.7}))
		sc.Clicks = nil
		kitted(c, sc)
		for k := range sc.Backing {
			sc.Backing[k].Accent += float64(i%3) * 3
		}
		s, err := Prepare(sc, dry)
		require.NoError(t, err)
		level := func(half Stem) float64 {
			return measure.Integrated(channels(frames(t, s.Stem(half), 0, s.Frames()), dry), 48000)
		}
		front := level(Melody) - level(Rest)
		assert.Truef(t, front >= 6 && front <= 8, "%.1f LU", front)
	}
}
