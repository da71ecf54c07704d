package tab

import (
	"slices"
	"strings"

	"reedlark/tab/scan"
)

// dialectLine is what a line is to the dialect of its page.
type dialectLine uint8

const (
	outside  dialectLine = iota // a line like others
	dropped                     // a header of the dialect, or a row of signs: it says nothing of a page in another
	legend                      // it explains marks of the page, and becomes a comment there
	explains                    // it explains marks that the page does not have
)

// markDialect notes the lines that belong to the dialect of the page.
func (d *Document) markDialect(page *scan.Page) {
	for i, l := range page.Lines {
		w := outside
		explained, obeyed := l.Legend()
		switch {
		case l.OfDialect() || l.Given():
			w = dropped
		case obeyed:
			w = legend
		case explained:
			w = explains
		}
		if w != outside && d.ofDialect == nil {
			d.ofDialect = make([]dialectLine, len(page.Lines))
		}
		if w != outside {
			d.ofDialect[i] = w
		}
	}
}

// is reports whether line i is this to the dialect.
func (d *Document) is(i int, w dialectLine) bool { return d.ofDialect != nil && d.ofDialect[i] == w }

// printable reports whether pages are printed in a convention.
func printable(c Convention) bool { return c == Signs || c == Letters || c == Arrows }

// hush makes comments of the legends of the page, or of all that could be one. A
// legend that is the title stays words.
func (d *Document) hush(heads []string, all bool) (changed bool) {
	for i := range heads {
		if (d.is(i, legend) || all && d.is(i, explains)) && heads[i] == "" {
			heads[i], changed = "# ", true
			if d.Head.Title != "" && strings.HasSuffix(strings.TrimSpace(d.Lines[i].Text), d.Head.Title) {
				heads[i] = "text: "
			}
		}
	}
	return changed
}

// alike reports whether two pieces play the same notes, however long.
func alike(x, y *Piece) bool {
	return slices.EqualFunc(x.Events, y.Events, func(a, b Event) bool {
		if a.Note == nil || b.Note == nil {
			return a.Note == b.Note
		}
		n, m := a.Note, b.Note
		return a.Role == b.Role && n.Breath == m.Breath && n.Bend == m.Bend && n.Over == m.Over && slices.Equal(n.Holes, m.Holes)
	})
}
