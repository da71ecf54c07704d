package perform_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/perform"
	"reedlark/tab/score"
)

// FuzzPerform: any page that has no errors is played, or says why not.
func FuzzPerform(f *testing.F) {
	for _, s := range []string{
		"4 -4 5", "-3// -> -3 > r (4)5", "Harp: low F\nMetre: 3/4\n4 | {5 5} 6 -6 |", "|: 4 (-5) :| x3\n> -1~ ,", "Key: Am\n12345678910 -> 9 -> -9*",
		"Metre: 6/8\nSwing: 0.7\nchords: |: C | Am7/G F :| N.C. %\n|: 4- 4 5- 5 | 6--- :| r", "chords: F#m7b5 . / G5no5 x3\nchords: C/E", "4 | 5 5 5\nchords: C G C G C | D",
	} {
		f.Add(s, 1, 0.0)
	}
	f.Fuzz(func(t *testing.T, text string, repeat int, from float64) {
		doc := tab.Parse(text, tab.Options{Chords: true})
		if doc.Problems.Has(diag.Error) {
			return
		}
		s := perform.Settings{Repeat: 1 + abs(repeat)%32, Brackets: perform.Skip, CountIn: 1, Click: true, MaxNotes: 2000}
		s.Backing = []perform.Backing{perform.Chords, perform.Drone, perform.NoBacking}[abs(repeat)%3]
		if from > 0 {
			s.From = &perform.Bound{Beat: from}
		}
		sc, problems := perform.Perform(doc, s)
		require.Equal(t, problems.Has(diag.Error), sc == nil)
		if sc != nil {
			require.LessOrEqual(t, len(sc.Notes), 12*s.MaxNotes, "at most eleven holes are passed before a note")
			require.Less(t, sc.Seconds, perform.MaxSeconds+10)
			checkBacking(t, sc)
		}
	})
}

// checkBacking: what plays along is in order, lasts, and ends before the silence
// after the music does.
func checkBacking(t *testing.T, sc *score.Score) {
	before := 0.0
	for _, b := range sc.Backing {
		require.GreaterOrEqual(t, b.Start, before-1e-9)
		require.Greater(t, b.Seconds, 0.0)
		require.LessOrEqual(t, b.Start+b.Seconds, sc.Seconds-perform.Tail+1e-6)
		require.Positive(t, b.Beats.Sign())
		before = b.Start
	}
	for _, c := range sc.Chords {
		require.Greater(t, c.Seconds, 0.0)
	}
}

func abs(n int) int {
	if n < 0 {
		return -(n + 1)
	}
	return n
}
