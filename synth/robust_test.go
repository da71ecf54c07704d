package synth

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/synth/reed"
	"reedlark/tab/score"
)

func newTables(bytes int) *reed.Cache { return reed.NewCache(bytes) }

// TestAnyScore: any score at any legal setting is finite, bounded and silent at
// the end, and says truly what its peak is.
func TestAnyScore(t *testing.T) {
	tables := newTables(1 << 22)
	rapid.Check(t, func(r *rapid.T) {
		c := drawn{r}
		set := Settings{
			Rate: []int{22050, 44100, 48000}[c.number(0, 2)], Depth: []int{16, 24}[c.number(0, 1)],
			Channels: c.number(1, 2), Room: c.real(0, 1), Loudness: c.real(MinLoudness, MaxLoudness), Tables: tables,
		}
		sc := invent(c, c.number(0, 5), beats{0.002, 0.2})
		s, err := Prepare(sc, set)
		require.NoError(r, err)
		require.False(r, math.IsNaN(s.Report().Loudness) || math.IsNaN(s.Report().Gain))
		x := frames(r, s, 0, s.Frames())
		limit := math.Exp2(float64(set.Depth-1)) * math.Pow(10, -1.0/20)
		for _, v := range x {
			require.LessOrEqual(r, math.Abs(float64(v)), limit)
		}
		for _, v := range x[len(x)-100*set.Channels:] {
			require.LessOrEqual(r, math.Abs(float64(v)), 2.0)
		}
	})
}

// TestRefused: what cannot be sounded is an error that says what and where.
func TestRefused(t *testing.T) {
	fine := tune(note(0.1, 0.2, 72))
	for _, c := range []struct {
		set  func(*Settings)
		says string
	}{
		{func(s *Settings) { s.Rate = 8000 }, "rate 8000"},
		{func(s *Settings) { s.Depth = 8 }, "depth 8"},
		{func(s *Settings) { s.Channels = 3 }, "3 channels"},
		{func(s *Settings) { s.Room = math.NaN() }, "room NaN"},
		{func(s *Settings) { s.Room = 1.1 }, "room 1.1"},
		{func(s *Settings) { s.Loudness = math.Inf(1) }, "loudness +Inf"},
	} {
		set := dry
		c.set(&set)
		_, err := Prepare(fine, set)
		assert.ErrorContains(t, err, c.says)
	}
	for _, spoil := range []func(*score.Note){
		func(n *score.Note) { n.Voices[0].Hz = math.NaN() },
		func(n *score.Note) { n.Voices[0].FromHz = 0 },
		func(n *score.Note) { n.Start = math.Inf(1) },
		func(n *score.Note) { n.Seconds = -1 },
		func(n *score.Note) { n.Accent = 400 },
	} {
		bad := tune(note(0.1, 0.2, 72))
		bad.Notes[0].Line, bad.Notes[0].Column = 3, 5
		spoil(&bad.Notes[0])
		_, err := Prepare(bad, dry)
		assert.ErrorContains(t, err, "line 3, column 5")
	}
	long := tune()
	long.Seconds = math.NaN()
	_, err := Prepare(long, dry)
	assert.Error(t, err)
}

// TestFirstNoteAtZero: nothing sounds before frame 0, and a note that starts
// there starts there.
func TestFirstNoteAtZero(t *testing.T) {
	x := listen(t, tune(note(0, 0.5, 60)), dry, -40)[0]
	assert.Less(t, abs(x[0]), 1e-3)
	assert.Greater(t, abs(x[4800]), 0.0)
}

// TestEvenFrames: at 24 bits and one channel the number of frames is even, so
// that the data of a WAV file need no padding (IBM & Microsoft, "Multimedia
// Programming Interface", RIFF chunks).
func TestEvenFrames(t *testing.T) {
	sc := tune()
	for _, seconds := range []float64{1, 1.00001, 1.00002, 1.00003} {
		sc.Seconds = seconds
		s, err := Prepare(sc, dry)
		require.NoError(t, err)
		assert.Zero(t, s.Frames()%2)
		assert.InDelta(t, seconds*48000, float64(s.Frames()), 1.5)
	}
}
