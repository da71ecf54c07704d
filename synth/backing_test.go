package synth

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/dsp"
	"reedlark/synth/measure"
	"reedlark/tab/score"
)

// accompany gives a tune a band of random notes, or a drone.
func accompany(c chooser, sc *score.Score) *score.Score {
	hz := func(midi int) float64 { return note(0, 1, float64(midi)).Voices[0].Hz }
	if c.number(0, 2) == 0 {
		for _, midi := range []int{48, 55} {
			sc.Backing = append(sc.Backing, score.Backing{Player: score.Drone, Midi: midi, Hz: hz(midi), Seconds: sc.Seconds - 0.25})
		}
		return sc
	}
	beat := c.real(0.25, 0.8)
	for at := 0.0; at+2*beat < sc.Seconds; at += 2 * beat {
		sc.Backing = append(sc.Backing, score.Backing{Player: score.Bass, Hz: hz(c.number(38, 52)), Start: at, Seconds: 2 * beat, Accent: 1.5})
		root := c.number(53, 60)
		for _, midi := range []int{root, root + c.number(3, 4), root + 7} {
			sc.Backing = append(sc.Backing, score.Backing{Player: score.Comping, Hz: hz(midi), Start: at + beat, Seconds: beat})
		}
	}
	return sc
}

// TestLoudnessWithABand: within 0.5 LU of what was asked for, peaks under the
// bound and the bound under -1.2 dBTP, together, alone and split.
func TestLoudnessWithABand(t *testing.T) {
	for i := range 60 {
		sc, set := loudnessCase(i)
		sc = accompany(newSeeded(uint64(i)), sc)
		switch i % 4 {
		case 1:
			sc.Notes = nil
		case 2:
			set.Channels, set.Split = 2, true
		}
		s, err := Prepare(sc, set)
		require.NoError(t, err)
		x := channels(frames(t, s, 0, s.Frames()), set)
		assert.InDeltaf(t, s.Report().Loudness, measure.Integrated(x, set.Rate), 0.5, "tune %d of %.1f s, %+v, %+v", i, sc.Seconds, set, s.Report())
		assert.LessOrEqual(t, measure.TruePeak(x), s.Report().Peak+0.05)
		assert.LessOrEqual(t, s.Report().Peak, -1.2+1e-9)
	}
}

// TestStems: the two halves add up to the whole, to the last bits, and a split
// sound is their sides.
func TestStems(t *testing.T) {
	for _, set := range []Settings{
		{Rate: 48000, Depth: 24, Channels: 1, Room: 0.3, Loudness: -20},
		{Rate: 22050, Depth: 24, Channels: 2, Room: 0.3, Loudness: -12},
	} {
		sc := accompany(newSeeded(5), invent(newSeeded(2), 12, beats{0.3, 0.5}))
		sc.Clicks = []score.Click{{Start: 0.1, Accent: true}}
		s, err := Prepare(sc, set)
		require.NoError(t, err)
		whole := frames(t, s, 0, s.Frames())
		melody, rest := frames(t, s.Stem(Melody), 0, s.Frames()), frames(t, s.Stem(Rest), 0, s.Frames())
		for i, x := range whole {
			require.InDelta(t, float64(x), float64(melody[i]+rest[i]), 8, "a few parts in a million of full scale")
		}
	}
}

// TestClicksLeaveTheHarpAlone: the harp's samples, its breath among them, are the
// same whatever sounds beside it, but for the level of the whole.
func TestClicksLeaveTheHarpAlone(t *testing.T) {
	harp := func(clicks ...score.Click) (samples []int32, gain float64) {
		sc := invent(newSeeded(2), 6, beats{0.3, 0.5})
		sc.Clicks = clicks
		s, err := Prepare(sc, dry)
		require.NoError(t, err)
		return frames(t, s.Stem(Melody), 0, s.Frames()), dsp.Gain(s.Report().Gain)
	}
	alone, gain := harp()
	beside, less := harp(score.Click{Start: 0.1, Accent: true}, score.Click{Start: 0.4})
	for i, x := range alone {
		require.InDelta(t, float64(x)/gain, float64(beside[i])/less, 8) // of 2²³
	}
}

// TestSplit: the left is the melody alone, the right the rest, whatever range is
// rendered.
func TestSplit(t *testing.T) {
	sc := accompany(newSeeded(5), invent(newSeeded(2), 40, beats{0.3, 0.5}))
	set := Settings{Rate: 22050, Depth: 24, Channels: 2, Split: true, Room: 0.3, Loudness: -20}
	s, err := Prepare(sc, set)
	require.NoError(t, err)
	require.Greater(t, s.Frames(), int64(sideFrames), "more than one block")
	whole := frames(t, s, 0, s.Frames())
	for channel, half := range []Stem{Melody, Rest} {
		one, err := Prepare(sc, Settings{Rate: 22050, Depth: 24, Channels: 1, Room: 0.3, Loudness: -20})
		require.NoError(t, err)
		one = one.Stem(half)
		one.gain = s.gain
		mono := frames(t, one, 0, s.Frames())
		for i, x := range mono {
			require.Equal(t, x, whole[2*i+channel])
		}
	}
	c := newSeeded(3)
	for range 10 {
		from := int64(c.number(0, int(s.Frames())))
		to := min(s.Frames(), from+int64(c.number(0, 30000)))
		require.Equal(t, whole[2*from:2*to], frames(t, s, from, to), "%d to %d", from, to)
	}
	_, err = Prepare(sc, Settings{Rate: 22050, Depth: 24, Channels: 1, Split: true, Loudness: -20})
	assert.Error(t, err)
}

// TestBackingThatCannotSound is refused and named.
func TestBackingThatCannotSound(t *testing.T) {
	for _, b := range []score.Backing{{Player: "spoons", Hz: 100}, {Player: score.Bass, Hz: 1}, {Hz: 100, Start: -1}, {Hz: 100, Seconds: 1e9}, {Hz: 100, Accent: 99}} {
		sc := tune(note(0.1, 1, 72))
		sc.Backing = []score.Backing{b}
		_, err := Prepare(sc, dry)
		assert.ErrorContains(t, err, "backing note 1")
	}
}

// TestLinesThatMeetTheBand: a drone whose partials are those of the tune adds
// up as it lies; without that the loudness is up to 0.7 LU off.
func TestLinesThatMeetTheBand(t *testing.T) {
	for _, midi := range []float64{60, 62, 67, 72, 60.002} {
		sc := tune(note(0.1, 5, midi))
		for _, drone := range []float64{midi - 12, midi - 5} {
			sc.Backing = append(sc.Backing, score.Backing{Player: score.Drone, Hz: note(0, 1, drone).Voices[0].Hz, Seconds: 5.1})
		}
		x := listen(t, sc, Settings{Rate: 48000, Depth: 16, Channels: 1, Room: 0.3, Loudness: -20}, -40)
		assert.InDelta(t, -20, measure.Integrated(x, 48000), 0.2, "%g", midi)
	}
}

// TestProcessorsWithABand: however many render a long sound with a band, the
// bytes are the same, and so is any range of it.
func TestProcessorsWithABand(t *testing.T) {
	c := newSeeded(9)
	s, err := Prepare(accompany(c, invent(c, 260, beats{0.4, 0.5})), roomy)
	require.NoError(t, err)
	require.Greater(t, s.Frames(), int64(longFrames), "long enough to be shared out")
	want := frames(t, s, 0, s.Frames())
	for _, procs := range []int{1, 2, 8} {
		before := runtime.GOMAXPROCS(procs)
		got := frames(t, s, 0, s.Frames())
		runtime.GOMAXPROCS(before)
		require.Equal(t, want, got, "%d processors", procs)
	}
	for range 10 {
		from := int64(c.number(0, int(s.Frames())))
		to := min(s.Frames(), from+int64(c.number(0, 30000)))
		require.Equal(t, want[2*from:2*to], frames(t, s, from, to), "%d to %d", from, to)
	}
}
