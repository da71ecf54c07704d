package unfold

import (
	"fmt"
	"strings"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// count is one word of a count row: a number, a part of a beat, or a bar line.
type count struct {
	span   diag.Span
	number int       // from 1; 0 for a part or a bar line
	part   beat.Time // of a beat; 0 for a number or a bar line
}

func (c count) isBar() bool { return c.number == 0 && c.part.Sign() == 0 }

// countWords are the parts of a beat as they are counted aloud (common
// practice, no source), the longest first.
var countWords = []struct {
	word string
	part beat.Time
}{
	{"trip", wholeBeat.Over(3)},
	{"and", wholeBeat.Over(2)},
	{"let", wholeBeat.Times(2).Over(3)},
	{"&", wholeBeat.Over(2)},
	{"+", wholeBeat.Over(2)},
	{"e", wholeBeat.Over(4)},
	{"a", wholeBeat.Times(3).Over(4)},
}

// mostCounted is the highest number that may be counted in a bar.
const mostCounted = tree.MaxMetreBeats

// attachCounts gives each count row to the tab row nearest above it.
func (p *page) attachCounts() {
	var above *row
	next := 0
	for _, l := range p.lines {
		if next < len(p.rows) && p.rows[next].Line == l {
			if l.Kind == tree.TabLine {
				above = p.rows[next]
			}
			next++
		}
		if l.Kind == tree.CountLine {
			p.attach(l, above)
		}
	}
}

func (p *page) attach(l *scan.Line, above *row) {
	head := l.Cells.Span(l.At(), max(l.Body, l.At()+1))
	switch {
	case above == nil:
		p.Report(diag.Problem{
			Severity: diag.Error, Code: diag.CountAlone, Span: head,
			Message: "There is no line of tab above this count row.",
			Hint:    "Write it below the line of tab it counts.",
			Edits:   func(e *diag.Editor) { e.RemoveLine() },
		})
	case above.counts != nil:
		p.Report(diag.Problem{
			Severity: diag.Error, Code: diag.CountTwice, Span: head,
			Message: "The line of tab above, line {line}, is counted already.",
			Hint:    "Keep one of them.",
			Values:  diag.Values{diag.Number("line", above.Line.Number)},
			Edits:   func(e *diag.Editor) { e.RemoveLine() },
		})
	default:
		above.counts = l
	}
}

// readCounts reads the words of a count row; ok is false where one of them is
// no count.
func (p *page) readCounts(s *scan.Line) (counts []count, ok bool) {
	ok = true
	for i := s.Cells.SkipBlanks(s.Body); i < len(s.Cells); i = s.Cells.SkipBlanks(i) {
		end := i
		for end < len(s.Cells) && s.Cells[end].R != scan.Blank && (s.Cells[end].R == '|') == (s.Cells[i].R == '|') {
			end++
		}
		read, good := readCountWord(s.Cells[i:end])
		if good {
			counts = append(counts, read...)
		} else {
			ok = false
			p.checkCountWord(s.Cells[i:end])
		}
		i = end
	}
	return counts, ok
}

func (p *page) checkCountWord(word scan.Cells) {
	at := word.Span(0, len(word))
	if word.ReportControl(p.Reporter) {
		return
	}
	p.Add(diag.Error, diag.UnknownCount, at, "Count with numbers, &, e, a, trip and let.", fmt.Sprintf("“%s” is no count.", p.Quote(at)))
}

// readCountWord reads counts without blanks between them, such as 1e&a.
func readCountWord(word scan.Cells) (counts []count, ok bool) {
	for i := 0; i < len(word); {
		c, n := readCount(word[i:])
		if n == 0 {
			return nil, false
		}
		c.span = word.Span(i, i+n)
		counts = append(counts, c)
		i += n
	}
	return counts, true
}

// readCount reads the count that rest begins with, and says how many cells it
// takes; 0 for none.
func readCount(rest scan.Cells) (count, int) {
	if rest[0].R == '|' {
		n := 1
		for n < len(rest) && rest[n].R == '|' {
			n++
		}
		return count{}, n
	}
	if n := rest.SkipDigits(0); n > 0 && rest[:n].Number() > 0 {
		return count{number: rest[:n].Number()}, n
	}
	for _, w := range countWords {
		n := len(w.word)
		if len(rest) >= n && strings.EqualFold(rest[:n].Text(), w.word) {
			return count{part: w.part}, n
		}
	}
	return count{}, 0
}
