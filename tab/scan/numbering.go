package scan

import (
	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// A number heads a line as its number, not as a hole, where a sign or a gap
// follows it and the numbers count up from 1. ref: common practice, no source.
const (
	fewestBarred = 2 // lines numbered by a colon or a bar line: 1| 4 5
	fewestGapped = 3 // lines numbered by a tab or two blanks, all rows of the page
)

// numberLines finds the numbers at the heads of the lines.
func (p *reader) numberLines() {
	listed := 0
	for _, l := range p.Lines {
		listed = l.numbering(listed)
	}
	if listed > 0 {
		return
	}
	for _, sign := range []rune{':', '|'} {
		if lines := p.countedBy(sign); len(lines) >= fewestBarred {
			number(lines, func(l *Line, end int) int { return l.Cells.SkipBlanks(end) + 1 })
			return
		}
	}
	if lines := p.countedByGaps(); len(lines) >= fewestGapped {
		number(lines, func(_ *Line, end int) int { return end })
	}
}

// headNumber is a number that heads a line and the cell after it; end is 0 for
// none.
func (l *Line) headNumber() (n, end int) {
	from := l.Cells.SkipBlanks(l.Body)
	end = l.Cells.SkipDigits(from)
	if end == from {
		return 0, 0
	}
	return l.Cells[from:end].Number(), end
}

// countedBy are the lines whose first number has a sign behind it, if these
// numbers count up from 1.
func (p *reader) countedBy(sign rune) (lines []*Line) {
	for _, l := range p.Lines {
		n, end := l.headNumber()
		if end == 0 {
			continue
		}
		at := l.Cells.SkipBlanks(end)
		if at == len(l.Cells) || l.Cells[at].R != sign || l.Cells.BarAt(at) != (sign == '|') || l.Cells.SkipBlanks(at+1) == len(l.Cells) {
			continue
		}
		if n != len(lines)+1 {
			return nil
		}
		lines = append(lines, l)
	}
	return lines
}

// countedByGaps are all lines that begin with a digit, if on each a wide gap
// follows the number and they count up from 1.
func (p *reader) countedByGaps() (lines []*Line) {
	for _, l := range p.Lines {
		n, end := l.headNumber()
		if end == 0 {
			continue
		}
		if n != len(lines)+1 || !l.gapAt(end, p.Text) {
			return nil
		}
		lines = append(lines, l)
	}
	return lines
}

// gapAt reports whether a tab or two blanks are at a cell, and something after.
func (l *Line) gapAt(i int, text string) bool {
	if i+1 >= len(l.Cells) || l.Cells[i].R != Blank || l.Cells.SkipBlanks(i) == len(l.Cells) {
		return false
	}
	return text[l.Cells[i].at] == '\t' || l.Cells[i+1].R == Blank
}

// number lets lines begin behind their numbers.
func number(lines []*Line, after func(l *Line, end int) int) {
	for _, l := range lines {
		_, end := l.headNumber()
		l.Listed = after(l, end)
		l.Body = l.Listed
	}
}

// dropPageNumbers makes words of a bare number alone between blank lines, such as
// the number of a page, where every other row has more than one note.
func (p *reader) dropPageNumbers() {
	var lone *Line
	others := false
	for i, l := range p.Lines {
		switch {
		case l.Kind != tree.TabLine || l.forced():
		case len(l.first) > 1:
			others = true
		case lone == nil && len(l.first) == 1 && l.first[0].Kind == Note && l.first[0].Written.Plain() && p.apart(i):
			lone = l
		default:
			return
		}
	}
	if lone == nil || !others {
		return
	}
	lone.Kind = tree.TextLine
	lone.Listed = len(lone.Cells)
}

// apart reports whether blank lines, or the ends of the page, are on both sides
// of a line.
func (p *reader) apart(i int) bool {
	return (i == 0 || p.Lines[i-1].blank()) && (i+1 == len(p.Lines) || p.Lines[i+1].blank())
}

// checkListed warns that the numbers that head lines are not played. They count
// on from each other, so they go together or not at all.
func (p *reader) checkListed() {
	var all []diag.Change
	for _, l := range p.Lines {
		if l.numbered() {
			all = append(all, diag.Change{Span: l.Cells.Span(l.At(), l.Listed)})
		}
	}
	for _, c := range all {
		p.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.Numbering, Span: c.Span,
			Message: "A number that heads a line is read as the number of the line, not as a note.",
			Hint:    "Leave it out, or write tab: before it if it is a note.",
			Edits:   func(e *diag.Editor) { e.Offer("Leave the numbers of the lines out", all...).Keep().ForPage() },
		})
	}
}

// numbered reports whether a number heads a line that plays, or is all there is
// on it.
func (l *Line) numbered() bool {
	return l.Listed > 0 && (l.Kind == tree.TabLine || l.Cells.SkipBlanks(l.Listed) == len(l.Cells))
}
