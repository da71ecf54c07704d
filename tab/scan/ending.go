package scan

import (
	"fmt"

	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// ending is the number of a first, second or later ending, as written behind a
// bar line: 1 or 1. or [1. or 1st. ref: MusicXML 4.0, element ending; the
// spellings are common practice, no source.
type ending struct {
	line     *Line
	from, to int // its cells
	n        int
	plain    bool // a bare digit, which may be a hole as well
	inside   bool // a |: is open before it
}

// endings finds the numbers of endings on the lines that play. A 1 is one only
// where a 2 follows the repeat sign it leads to.
type endings struct {
	*reader
	first  *ending // waits for its partner
	many   bool    // more than one 1 was found in this repeat
	last   int     // number of the ending that the last repeat sign closed; 0 for none
	inside bool    // a |: is open
	closed bool    // a repeat sign was closed and nothing was played since
}

// findEndings marks the endings of the page.
func (p *reader) findEndings() {
	e := &endings{reader: p}
	for _, l := range p.Lines {
		switch l.Kind {
		case tree.TabLine:
			e.row(l)
		case tree.SectionLine:
			e.reset(false)
		}
	}
	e.reset(false)
}

// row looks at every bar line of a row.
func (e *endings) row(l *Line) {
	cells := l.Cells
	e.label(l)
	for i := l.Body; i < len(cells); {
		if !cells.BarAt(i) {
			if e.closed && cells[i].R != Blank { // no number follows the repeat sign
				e.reset(false)
			}
			i++
			continue
		}
		end := i
		for end < len(cells) && (cells[end].R == '|' || cells[end].R == ':') {
			end++
		}
		i = e.barLine(l, i, end)
	}
}

// barLine looks at a run of strokes and colons and the number behind it, and
// returns the cell to go on from.
func (e *endings) barLine(l *Line, from, end int) int {
	run := l.Cells[from:end]
	closes, opens := run[0].R == ':', run[len(run)-1].R == ':'
	found := endingAt(l.Cells, end)
	if found != nil {
		found.line, found.inside = l, e.inside || closes
	}
	switch {
	case closes && !opens:
		e.close(found)
	case opens:
		e.reset(true)
	case found != nil && (found.n == 1 || e.closed && found.n > 1):
		e.bar(found)
	case len(run) > 1:
		e.reset(false)
	}
	if found == nil || !l.isEnding(found.from) {
		return end
	}
	e.closed = false
	return found.to
}

// endingLabels are endings named in words at the head of a row. Common practice,
// no source.
var endingLabels = []struct {
	text string
	n    int
}{{"first ending", 1}, {"1st ending", 1}, {"ending 1", 1}, {"second ending", 2}, {"2nd ending", 2}, {"ending 2", 2}, {"third ending", 3}, {"3rd ending", 3}}

// label meets a row that is headed by the name of an ending.
func (e *endings) label(l *Line) {
	from := l.Cells.SkipBlanks(l.Body)
	for _, x := range endingLabels {
		end, ok := l.Cells.hasWords(from, x.text)
		if !ok || end == len(l.Cells) || l.Cells[end].R != ':' {
			continue
		}
		found := &ending{line: l, from: from, to: end + 1, n: x.n, inside: true}
		if x.n == 1 {
			e.bar(found)
		} else if e.closed {
			e.partner(found)
		}
		return
	}
}

// bar meets a number behind a plain bar line.
func (e *endings) bar(found *ending) {
	if e.closed { // the repeat sign stands before this bar line
		e.closed = false
		e.partner(found)
		return
	}
	e.many = e.many || e.first != nil
	if e.first == nil {
		e.first = found
	}
}

// close meets a repeat sign that closes, with the number behind it, if any.
func (e *endings) close(found *ending) {
	e.closed = true
	if found != nil {
		e.partner(found)
		return
	}
	e.inside = false // the number may still come behind a bar line, next
}

// partner meets the number that may belong to the second ending, or a later one.
func (e *endings) partner(found *ending) {
	switch {
	case e.first != nil && !e.many && found.n == 2 && e.first.fits(found):
		e.first.mark()
		found.mark()
		e.first, e.last = nil, 2
	case e.last > 0 && found.n == e.last+1:
		found.mark()
		e.last = found.n
	default:
		if found.plain {
			e.doubt(found)
		}
		e.reset(false)
	}
	e.inside = false
}

// fits reports whether two numbers are written alike enough to belong together:
// where blanks stand before one it must not be a bare digit.
func (e *ending) fits(other *ending) bool { return e.plain == other.plain }

// mark makes the number an ending of its line.
func (e *ending) mark() {
	e.line.mark(e.from, mark{Ending, e.n, e.to})
}

// isEnding reports whether the number of an ending begins at a cell.
func (l *Line) isEnding(i int) bool { return l.marks[i].kind == Ending && l.marks[i].to > i }

// reset forgets the repeat that was being looked at.
func (e *endings) reset(inside bool) {
	if e.first != nil && e.first.inside && e.first.plain {
		e.doubt(e.first)
	}
	e.first, e.many, e.last, e.inside, e.closed = nil, false, 0, inside, false
}

// doubt warns of a digit that could be meant as an ending and is played.
func (e *endings) doubt(found *ending) {
	at := found.line.Cells.Span(found.from, found.to)
	partner := "Write 1 behind a bar line inside the repeat too"
	if found.n == 1 {
		partner = "Write 2 behind the repeat sign"
	}
	e.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.EndingOrHole, Span: at,
		Message: "The {hole} behind this bar line is played as a hole; it could be the number of an ending.",
		Hint:    partner + " if this is an ending, or a blank before it if it is a hole.",
		Values:  diag.Values{diag.Number("hole", found.n)},
		Edits: func(e *diag.Editor) {
			gap := diag.Span{Start: at.Start, End: at.Start}
			e.Offer(fmt.Sprintf("It is hole %d", found.n), diag.Change{Span: gap, Text: " "}).Keep()
		},
	})
}

// endingAt reads the number of an ending at cell i, right behind a bar line; nil
// for none. Only a bare digit has to touch the bar line.
func endingAt(cells Cells, i int) *ending {
	from := i
	if bracketed := cells.SkipBlanks(i); bracketed < len(cells) && cells[bracketed].R == '[' {
		i = bracketed + 1
	} else if dotted := cells.SkipBlanks(i); dotted+1 < len(cells) && IsDigit(cells[dotted].R) && !IsDigit(cells[dotted+1].R) && cells[dotted+1].R != Blank {
		i = dotted
	}
	if i >= len(cells) || cells[i].R < '1' || cells[i].R > '9' {
		return nil
	}
	e := &ending{from: from, n: int(cells[i].R - '0'), plain: true}
	e.from = cells.SkipBlanks(from)
	e.to = i + 1
	for _, tail := range []string{".]", ".)", ".", "]", ")", "st.", "nd.", "rd.", "th.", "st", "nd", "rd", "th"} {
		if cells.hasAt(e.to, tail) {
			e.plain = false
			e.to += len(tail)
			if cells[e.from].R == '[' && cells.hasAt(e.to, "]") {
				e.to++
			}
			break
		}
	}
	if e.to < len(cells) && cells[e.to].R != Blank || e.plain && (cells[from].R == Blank || cells[e.from].R == '[') {
		return nil
	}
	return e
}

// hasAt reports whether ASCII text stands at cell i.
func (c Cells) hasAt(i int, text string) bool {
	if i+len(text) > len(c) {
		return false
	}
	for k := range len(text) {
		if c[i+k].R != rune(text[k]) {
			return false
		}
	}
	return true
}
