package perform_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/perform"
)

// FuzzPerform: any page that has no errors is played, or says why not.
func FuzzPerform(f *testing.F) {
	for _, s := range []string{
		"4 -4 5", "-3// -> -3 > r (4)5", "Harp: low F\nMetre: 3/4\n4 | {5 5} 6 -6 |", "|: 4 (-5) :| x3\n> -1~ ,", "Key: Am\n12345678910 -> 9 -> -9*",
	} {
		f.Add(s, 1, 0.0)
	}
	f.Fuzz(func(t *testing.T, text string, repeat int, from float64) {
		doc := tab.Parse(text, tab.Options{})
		if doc.Problems.Has(diag.Error) {
			return
		}
		s := perform.Settings{Repeat: 1 + abs(repeat)%32, Brackets: perform.Skip, CountIn: 1, Click: true, MaxNotes: 2000}
		if from > 0 {
			s.From = &perform.Bound{Beat: from}
		}
		sc, problems := perform.Perform(doc, s)
		require.Equal(t, problems.Has(diag.Error), sc == nil)
		if sc != nil {
			require.LessOrEqual(t, len(sc.Notes), 12*s.MaxNotes, "at most eleven holes are passed before a note")
			require.Less(t, sc.Seconds, perform.MaxSeconds+10)
		}
	})
}

func abs(n int) int {
	if n < 0 {
		return -(n + 1)
	}
	return n
}
