package rhythm_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/rhythm"
)

func parse(text string) *tab.Document {
	return tab.Parse(text, tab.Options{Limits: tab.DefaultLimits()})
}

func read(text string) (*tab.Document, *rhythm.Page) {
	doc := parse(text)
	return doc, rhythm.Read(doc, text)
}

// pages calls do with every page of testdata that has no errors.
func pages(t *testing.T, do func(t *testing.T, text string)) {
	names, err := filepath.Glob("../../testdata/tabs/*.txt")
	require.NoError(t, err)
	done := 0
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		if parse(string(text)).Problems.Has(diag.Error) {
			continue
		}
		done++
		t.Run(filepath.Base(name), func(t *testing.T) { do(t, string(text)) })
	}
	require.Greater(t, done, 25)
}

// asPlayed is the rhythm a page has.
func asPlayed(text string) rhythm.Plan {
	doc, page := read(text)
	piece := doc.Unfold()
	plan := rhythm.Plan{Metre: doc.Metre, Swing: doc.Head.Swing, Notes: make([]rhythm.Length, len(page.Notes))}
	for _, play := range page.Plays {
		if play.Pass > 1 {
			continue
		}
		e := piece.Events[play.Event]
		n := &plan.Notes[play.Note]
		n.At, n.Beats = e.Start.Minus(piece.Pickup).Plus(piece.Bar.Times(2)), e.Beats
		for _, after := range piece.Events[play.Event+1:] {
			if after.Note != nil {
				break
			}
			n.Rest = n.Rest.Plus(after.Beats)
		}
	}
	return plan
}

// evenly is a rhythm of one beat for each note and each rest.
func evenly(text string) rhythm.Plan {
	doc, page := read(text)
	plan := rhythm.Plan{Notes: make([]rhythm.Length, len(page.Notes))}
	at := beat.Time{}
	for _, play := range page.Plays {
		rests := beat.Time{}
		for _, after := range doc.Unfold().Events[play.Event+1:] {
			if after.Note != nil {
				break
			}
			rests = rests.Plus(beat.Whole(1))
		}
		plan.Notes[play.Note] = rhythm.Length{At: at, Beats: beat.Whole(1), Rest: rests}
		at = at.Plus(beat.Whole(1)).Plus(rests)
	}
	return plan
}

func lengths(text string) (out []string) {
	_, page := read(text)
	for _, n := range page.Notes {
		out = append(out, n.Beats.String())
	}
	return out
}

// Every page of testdata without its rhythm, and with it again.
func TestPagesStrippedAndWritten(t *testing.T) {
	pages(t, func(t *testing.T, text string) {
		_, page := read(text)
		bare, left := page.Write(evenly(text), parse)
		assert.Empty(t, left)
		for _, length := range lengths(bare) {
			require.Equal(t, "1", length, "of %s", bare)
		}
		_, page = read(bare)
		full, left := page.Write(asPlayed(text), parse)
		assert.Empty(t, left)
		assert.Equal(t, lengths(text), lengths(full), full)
		assert.Equal(t, withoutMarks(text), withoutMarks(full))
	})
}

// A page that has the rhythm of the plan comes back byte for byte.
func TestNothingToWrite(t *testing.T) {
	pages(t, func(t *testing.T, text string) {
		_, page := read(text)
		same, left := page.Write(asPlayed(text), parse)
		assert.Empty(t, left)
		assert.Equal(t, text, same)
	})
}

// withoutMarks is a page without what says how long notes are, and without blanks.
func withoutMarks(text string) string {
	var out []string
	doc := parse(text)
	for _, l := range doc.Lines {
		if l.Kind != tab.CountLine {
			out = append(out, l.Text)
		}
	}
	all := strings.NewReplacer("&ndash;", "", "&minus;", "-", "&#8722;", "-", "&#x2212;", "-").Replace(strings.Join(out, "\n"))
	return strings.Join(strings.FieldsFunc(all, func(c rune) bool {
		return strings.ContainsRune(" \t\u00a0\u3000-‐‑‒–—―−._·…{}｛｝－", c)
	}), "")
}

// A rhythm that goes with the rows and the bar lines of a page, whatever it is, is
// written exactly.
func TestAnyRhythm(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	pages(t, func(t *testing.T, text string) {
		for range 4 {
			_, page := read(text)
			plan := rhythm.Plan{Metre: parse(text).Metre, Notes: somehow(text, random, true)}
			got, left := page.Write(plan, parse)
			for _, n := range left {
				row := parse(text).Lines[n-1].Text
				assert.Contains(t, row, "(", "only beats that a bracket cuts cannot be written: %s", got)
			}
			checkWritten(t, text, plan, got, left)
		}
	})
}

// Where beats are cut by bar lines and ends of rows, rows that cannot be written are
// named and left alone.
func TestDividedBeats(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	pages(t, func(t *testing.T, text string) {
		for range 4 {
			_, page := read(text)
			plan := rhythm.Plan{Metre: tab.Metre{Beats: 4, Unit: 4}, Notes: somehow(text, random, false)}
			got, left := page.Write(plan, parse)
			checkWritten(t, text, plan, got, left)
		}
	})
}

// checkWritten checks that the notes have the lengths of the plan, but for those with
// a rest behind them, which takes a part, and on lines that were left; and that
// nothing but the rhythm changed.
func checkWritten(t *testing.T, text string, plan rhythm.Plan, got string, left []int) {
	t.Helper()
	doc, page := read(text)
	_, again := read(got)
	require.Len(t, again.Notes, len(page.Notes), got)
	rests := restsBehind(doc, page)
	for i, n := range page.Notes {
		if now := again.Notes[i]; rests[i] == 0 && !slices.Contains(left, n.Line) {
			require.Equal(t, plan.Notes[i].Beats, now.Beats, "note %d, line %d\n%s", i, n.Line, got)
		}
	}
	if doc.Metre.Beats == 0 {
		got = strings.Replace(got, "Metre: 4/4\n", "", 1)
	}
	assert.Equal(t, withoutMarks(text), withoutMarks(got), got)
}

// restsBehind is how many rests are written behind each note.
func restsBehind(doc *tab.Document, page *rhythm.Page) []int {
	out := make([]int, len(page.Notes))
	for _, play := range page.Plays {
		out[play.Note] = 0
		for _, after := range doc.Unfold().Events[play.Event+1:] {
			if after.Note != nil {
				break
			}
			out[play.Note]++
		}
	}
	return out
}

// somehow is a rhythm of beats that are divided this way and that; where it is to
// fit, no beat is divided by a bar line or the end of a row.
func somehow(text string, random *rand.Rand, fit bool) []rhythm.Length {
	cells := [][]int{{12}, {12}, {24}, {6, 6}, {18, 6}, {6, 12, 6}, {4, 4, 4}, {9, 3}, {3, 3, 3, 3}, {36}}
	doc, page := read(text)
	rests := restsBehind(doc, page)
	written := make([]rhythm.Play, len(page.Notes))
	for i := range written {
		written[i].Note = i
	}
	bars := page.Bars(written)
	out := make([]rhythm.Length, len(page.Notes))
	at := 0
	for i := 0; i < len(out); {
		cell := cells[random.IntN(len(cells))]
		whole := i+len(cell) <= len(out) && len(cell) > 1
		for k := i + 1; whole && k < i+len(cell); k++ {
			whole = (bars[k] == 0 || bars[k] == -1 && page.Notes[k].Line == page.Notes[k-1].Line) && rests[k-1] == 0
		}
		if last := i + len(cell) - 1; last < len(out) && rests[last] > 0 {
			whole = false
		}
		if fit && !whole {
			cell = []int{12 + 12*rests[i]}
		}
		for _, ticks := range cell {
			if i < len(out) {
				out[i] = rhythm.Length{At: beat.Whole(at).Over(12), Beats: beat.Whole(ticks).Over(12)}
				at += ticks
				i++
			}
		}
	}
	return out
}
