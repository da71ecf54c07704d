package tab_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
)

// pages are those of the goldens and the demo tabs, by name.
func pages(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, pattern := range []string{"testdata/*.golden", "../testdata/tabs/*.txt"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, file := range files {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			page, _, _ := strings.Cut(string(text), divider)
			out[filepath.Base(file)] = page
		}
	}
	return out
}

// Every edit of every diagnostic changes the text, answers the diagnostic, and
// makes nothing worse; one that keeps leaves the piece as it was.
func TestEveryEdit(t *testing.T) {
	tried := 0
	for name, page := range pages(t) {
		before := tab.Parse(page, tab.Options{})
		for _, x := range before.Source.PlaceAll(before.Problems) {
			for _, e := range x.Edits {
				tried++
				tryEdit(t, name, page, before, x, e)
			}
		}
	}
	assert.Greater(t, tried, 20)
}

func tryEdit(t *testing.T, name, page string, before *tab.Document, x diag.Diagnostic, e diag.Edit) {
	t.Helper()
	text, made := diag.Apply(page, e)
	after := tab.Parse(text, tab.Options{})
	what := []any{"%s:%d:%d %s, edit %q makes %q", name, x.Line, x.Column, x.Code, e.Label, text}
	require.Equal(t, 1, made, what...)
	assert.NotEqual(t, page, text, what...)
	left := alike(after, x)
	if e.Everywhere {
		assert.Zero(t, left, what...)
	}
	assert.Less(t, left, alike(before, x), what...)
	errors := count(before, func(p diag.Problem) bool { return p.Severity == diag.Error })
	assert.LessOrEqual(t, count(after, func(p diag.Problem) bool { return p.Severity == diag.Error }), errors, what...)
	if e.Keeps && x.Severity != diag.Error {
		assert.Equal(t, sounds(before), sounds(after), what...)
	}
}

// alike counts the problems of a page that say the same as a diagnostic.
func alike(d *tab.Document, x diag.Diagnostic) int {
	return count(d, func(p diag.Problem) bool { return p.Code == x.Code && p.Message == x.Message })
}

func count(d *tab.Document, is func(diag.Problem) bool) (n int) {
	for _, p := range d.Problems {
		if is(p) {
			n++
		}
	}
	return n
}

// sounds is what is heard of a page: its events without their places, holes in
// order.
func sounds(d *tab.Document) string {
	piece := *d.Unfold()
	piece.Marks, piece.Events = nil, slices.Clone(piece.Events)
	for i, e := range piece.Events {
		if e.Note != nil {
			note := *e.Note
			note.Holes = slices.Sorted(slices.Values(note.Holes))
			piece.Events[i].Note = &note
		}
	}
	var b strings.Builder
	dumpPiece(&b, &piece)
	return b.String()
}
