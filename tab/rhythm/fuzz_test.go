package rhythm_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/rhythm"
)

// FuzzWrite gives any page any rhythm: nothing panics, the page keeps its notes, and
// lines that are not named have the lengths that were asked for.
func FuzzWrite(f *testing.F) {
	for _, pattern := range []string{"../testdata/*.golden", "../../testdata/tabs/*.txt"} {
		names, err := filepath.Glob(pattern)
		require.NoError(f, err)
		for i, name := range names {
			text, err := os.ReadFile(name)
			require.NoError(f, err)
			page, _, _ := strings.Cut(string(text), "\n====\n")
			f.Add(page, uint64(i))
		}
	}
	f.Fuzz(func(t *testing.T, text string, seed uint64) {
		doc := parse(text)
		if len(text) > 4000 || doc.Problems.Has(diag.Error) {
			return
		}
		page := rhythm.Read(doc, text)
		random := rand.New(rand.NewPCG(seed, 1))
		plan := rhythm.Plan{Metre: tab.Metre{Beats: 4, Unit: 4}, Notes: make([]rhythm.Length, len(page.Notes))}
		at := beat.Time{}
		for i := range plan.Notes {
			length := beat.Whole([]int{3, 4, 6, 12, 12, 24, 36}[random.IntN(7)]).Over(12)
			plan.Notes[i] = rhythm.Length{At: at, Beats: length}
			at = at.Plus(length)
		}
		got, left := page.Write(plan, parse)
		again := rhythm.Read(parse(got), got)
		require.Len(t, again.Notes, len(page.Notes), got)
		page.Gaps()
		rests := restsBehind(doc, page)
		for i, n := range page.Notes {
			if rests[i] == 0 && !slices.Contains(left, n.Line) {
				require.Equal(t, plan.Notes[i].Beats, again.Notes[i].Beats, "note %d, line %d\n%s", i, n.Line, got)
			}
		}
	})
}
