package tab_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
)

// conventions are all there are to write in.
var conventions = []tab.Convention{tab.Signs, tab.Letters, tab.Arrows}

// seeds are the pages of the goldens and a few more.
func seeds(f *testing.F) {
	files, err := filepath.Glob("testdata/*.golden")
	require.NoError(f, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(f, err)
		page, _, _ := strings.Cut(string(text), divider)
		f.Add(page)
	}
	for _, page := range []string{
		"4B-5B 4D5 B4D5\n", "↑4↓5 4↑\n", "4.(5)6 {4.5}.6 4.>6\n", "\ufeff4\u00a0&minus;4\r\n(x2)\r", "1. 4 5\n2. -4\n3/4\n",
		"tab: 4 wibble 5\ntext: 4 5\n", "|: 4 :|: 5 :|| x3\n", "{4 {5 r}- -}-- 6\n", "tab: 4 5\ncount: 4& 1e\n", "0(1){}().",
	} {
		f.Add(page)
	}
}

func FuzzParse(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, page string) {
		d := tab.Parse(page, tab.Options{})
		for _, p := range d.Problems {
			require.True(t, 0 <= p.Span.Start && p.Span.Start <= p.Span.End && p.Span.End <= len(page), "%s lies outside the page", p.Code)
			require.Contains(t, diag.Codes, p.Code)
			require.NotEmpty(t, p.Message)
		}
		require.LessOrEqual(t, len(d.Unfold().Events), 5*tab.DefaultLimits().Notes+1)
		checkPiece(t, d)
	})
}

// checkPiece checks what every piece promises: its events follow each other
// without a hole, and its lines are entered and left in turn.
func checkPiece(t *testing.T, d *tab.Document) {
	p := d.Unfold()
	at := p.Beats
	if len(p.Events) > 0 {
		at = p.Events[0].Start
		require.Zero(t, at.Sign())
		require.True(t, p.Events[0].NewPhrase)
	}
	for _, e := range p.Events {
		require.Equal(t, at, e.Start, "a hole before %v", e)
		if e.Role == tab.Grace {
			require.Zero(t, e.Beats.Sign())
		} else {
			require.Positive(t, e.Beats.Sign())
			at = at.Plus(e.Beats)
		}
	}
	require.Equal(t, p.Beats, at)
	line := 0
	for _, m := range p.Marks {
		require.Equal(t, m.Leave, line != 0)
		if m.Leave {
			require.Equal(t, line, m.Line)
			line = 0
		} else {
			line = m.Line
		}
	}
	require.Zero(t, line)
}

func FuzzPrint(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, page string) {
		if !utf8.ValidString(page) {
			return
		}
		d := tab.Parse(page, tab.Options{})
		if d.Problems.Has(diag.Error) {
			return
		}
		for _, to := range conventions {
			checkPrint(t, d, to)
		}
	})
}

// checkPrint checks that a page printed in a convention reads as the same
// piece, and so does what is printed of that.
func checkPrint(t *testing.T, d *tab.Document, to tab.Convention) {
	t.Helper()
	printed := d.Print(to)
	again := tab.Parse(printed, tab.Options{})
	say := shape
	if explained(d.Dialect) || len(again.Lines) != len(d.Lines) || comments(again) > comments(d) {
		say = notesOf // headers and rows of signs are gone, legends are comments
	}
	require.Equal(t, say(d), say(again), "%s of %q is %q", to, source(d), printed)
	twice := again.Print(to)
	require.Equal(t, notesOf(again), notesOf(tab.Parse(twice, tab.Options{})), "%q prints as %q", printed, twice)
}

// comments counts the lines that are comments.
func comments(d *tab.Document) (n int) {
	for _, l := range d.Lines {
		if l.Kind == tab.CommentLine {
			n++
		}
	}
	return n
}

func source(d *tab.Document) string {
	var lines []string
	for _, l := range d.Lines {
		lines = append(lines, l.Text)
	}
	return strings.Join(lines, "\n")
}
