package spectrum_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/synth"
	"reedlark/synth/measure"
	"reedlark/synth/reed"
	"reedlark/synth/reed/spectrum"
	"reedlark/synth/reed/spectrum/recorded"
	"reedlark/tab/score"
)

const rate = 48000

// render is a note of two seconds as a user hears it, but dry: breath on, no
// room, 24 bits, full scale 1.
func render(t *testing.T, hz float64, breath score.Breath, phrasing score.Phrasing) []float64 {
	t.Helper()
	n := score.Note{Seconds: 2, Role: score.Melody, Voices: []score.Voice{{
		Hz: hz, FromHz: hz, ReedHz: hz, Breath: breath, Technique: score.Plain,
	}}}
	s, err := synth.Prepare(&score.Score{Notes: []score.Note{n}, Seconds: 2.25, Phrasing: phrasing},
		synth.Settings{Rate: rate, Depth: 24, Channels: 1, Loudness: -16})
	require.NoError(t, err)
	var x []float64
	require.NoError(t, s.Samples(context.Background(), 0, s.Frames(), func(block []int32) error {
		for _, v := range block {
			x = append(x, float64(v)/(1<<23))
		}
		return nil
	}))
	return x
}

// measured are the levels of partials 1 to n in the second of the note where
// it is steady, dB relative to the first; as a player plays it, in the mean of eight
// takes, since no two are alike.
func measured(t *testing.T, hz float64, n int, breath score.Breath, played bool) []float64 {
	t.Helper()
	takes := map[bool]uint64{false: 1, true: 8}[played]
	mean := make([]float64, n)
	for take := range takes {
		x := render(t, hz, breath, score.Phrasing{Played: played, Seed: take})
		levels := measure.Partials(x[rate*8/10:rate*18/10], rate, hz, n)
		for i, v := range levels {
			mean[i] += measure.DB(v/levels[0]) / float64(takes)
		}
	}
	return mean
}

// The sound itself, not only the model, near five notes of FluidR3 GM: at most
// 5.0 dB in the mean and 6.5 for any, on either breath, plain and played, over all the partials
// that are sounded.
func TestRenderedNotesNearRecordedOnes(t *testing.T) {
	notes, err := recorded.Open("testdata/recorded.txt")
	require.NoError(t, err)
	notes = slices.DeleteFunc(notes, func(n recorded.Note) bool { return n.Name == "G4" || n.Name == "G5" })
	require.Len(t, notes, 5)
	for i, breath := range []score.Breath{score.Blow, score.Draw, score.Blow, score.Draw} {
		mean, compared, played := 0.0, 0, i >= 2
		for _, n := range notes {
			sounded := min(len(n.Levels)+1, reed.Partials(n.Hz, rate))
			d := measure.Distance(measured(t, n.Hz, sounded, breath, played)[1:], n.Levels)
			require.LessOrEqual(t, d, 6.5, "%s %s", n.Name, breath)
			t.Logf("%s %s: %.2f dB", n.Name, breath, d)
			mean, compared = mean+d/5, compared+sounded-1
		}
		t.Logf("%s, played %v: %.2f dB in the mean", breath, played, mean)
		require.LessOrEqual(t, mean, 5.0, breath)
		require.GreaterOrEqual(t, compared, 51, "of 53 recorded")
	}
}

// What is heard is what the model says, in every register: within 0.2 dB.
func TestRenderedLevelsAreTheModels(t *testing.T) {
	for _, hz := range []float64{98.00, 196.00, 392.00, 783.99, 1567.98, 2959.96} {
		n := min(int(12000/hz), 30)
		want, got := spectrum.Levels(hz, n, spectrum.Colour{}), measured(t, hz, n, score.Blow, false)
		for i := range want {
			require.InDelta(t, want[i], got[i], 0.2, "%g Hz, partial %d", hz, i+1)
		}
	}
}
