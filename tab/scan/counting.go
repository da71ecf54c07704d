package scan

import (
	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// counting is a row of numbers right below a row of as many notes, which may be
// how that row is counted aloud.
type counting struct {
	line  *Line
	parts bool // it has &, e or a between its numbers
	bars  bool // it returns to 1 at least twice, from one number
	small bool // no number is above four, as beats are
}

// tops are the numbers that counting returns to 1 from, besides the metre's own.
var tops = map[int]bool{2: true, 3: true, 4: true, 6: true}

// findCounts makes count rows of the rows of numbers that can be nothing else,
// and asks about those that might be.
func (p *reader) findCounts() {
	var found []counting
	sure, small := true, true
	for i := 1; i < len(p.Lines); i++ {
		c, ok := p.countingAt(i)
		if !ok {
			continue
		}
		found = append(found, c)
		sure = sure && (c.parts || c.bars)
		small = small && c.small
		i++ // the row below it is the next one's
	}
	for _, c := range found {
		switch {
		case sure:
			p.count(c.line)
		case small && (len(found) > 1 || c.parts):
			p.maybeCount(c.line)
		}
	}
}

// countingAt looks at a line that may count the one above it.
func (p *reader) countingAt(i int) (c counting, ok bool) {
	l, above := p.Lines[i], p.Lines[i-1]
	if l.key != "" || l.Kind != tree.TabLine && l.Kind != tree.TextLine || above.Kind != tree.TabLine || above.Named[1] > 0 {
		return c, false
	}
	c = counting{line: l, small: true}
	n, last, top, returns := 0, 0, 0, 0
	for at := l.Cells.SkipBlanks(l.Body); at < len(l.Cells); at = l.Cells.SkipBlanks(at) {
		if l.Cells[at].R == '|' {
			at++
			continue
		}
		end := at
		for end < len(l.Cells) && l.Cells[end].R != Blank && l.Cells[end].R != '|' {
			end++
		}
		word := l.Cells[at:end].Text()
		at, n = end, n+1
		switch {
		case word == "&" || word == "+" || word == "and" || word == "e" || word == "a":
			c.parts = true
		case digits(word) && len(word) < 3:
			value := l.Cells[end-len(word) : end].Number()
			if value == 1 && last > 1 {
				returns++
				if top != 0 && top != last || !tops[last] && last != p.opt.Metre.Beats {
					returns = -len(l.Cells)
				}
				top = last
			}
			last = value
			c.small = c.small && value <= 4
		default:
			return c, false
		}
	}
	c.bars = returns >= 2
	return c, n > 1 && last > 0 && n == notesOn(above) && (c.parts || c.bars || bare(above) != bare(l))
}

// notesOn counts the notes of a row.
func notesOn(l *Line) (n int) {
	for i := range l.first {
		if l.first[i].Kind == Note {
			n++
		}
	}
	return n
}

// bare reports whether no note of a row says which breath it has.
func bare(l *Line) bool {
	for i := range l.first {
		if l.first[i].Kind == Note && !l.first[i].Written.Plain() {
			return false
		}
	}
	return true
}

// count makes a line a count row.
func (p *reader) count(l *Line) {
	l.Kind, l.key, l.first = tree.CountLine, "count", nil
	p.Report(diag.Problem{
		Severity: diag.Note, Code: diag.CountRow, Span: l.Cells.Span(l.At(), l.At()+len(l.Cells.Trimmed())),
		Message: "This row of numbers is read as the counts of the row above it.",
		Edits: func(e *diag.Editor) {
			e.HeadLine("count:").Keep().All("Write count: before all of them")
		},
	})
}

// maybeCount asks about a row that may be counts and is played.
func (p *reader) maybeCount(l *Line) {
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.MaybeCount, Span: l.Cells.Span(l.At(), l.At()+len(l.Cells.Trimmed())),
		Message: "This row of numbers is played; it could be the counts or the lengths of the row above it.",
		Hint:    "Write count: before it if it is counted aloud, text: if it is not to be played, or tab: if it is.",
		Edits: func(e *diag.Editor) {
			e.HeadLine("text:").All("Play none of these rows")
			e.HeadLine("tab:").Keep()
		},
	})
}
