package tab

import (
	"fmt"
	"strings"

	"reedlark/tab/diag"
)

// count is one word of a count row: a number, a part of a beat, or a bar line.
type count struct {
	span   diag.Span
	number int   // from 1; 0 for a part or a bar line
	part   ticks // of a beat; 0 for a number or a bar line
}

func (c count) isBar() bool { return c.number == 0 && c.part == 0 }

// countWords are the parts of a beat as they are counted aloud (common
// practice, no source), the longest first.
var countWords = []struct {
	word string
	part ticks
}{
	{"trip", perBeat / 3},
	{"and", perBeat / 2},
	{"let", 2 * perBeat / 3},
	{"&", perBeat / 2},
	{"+", perBeat / 2},
	{"e", perBeat / 4},
	{"a", 3 * perBeat / 4},
}

// mostCounted is the highest number that may be counted in a bar.
const mostCounted = maxMetreBeats

// attach gives a count row to the tab row nearest above it.
func (p *page) attach(s *sheet, above *row) {
	head := spanOf(s.cells, s.at(), s.body)
	switch {
	case above == nil:
		p.add(diag.Error, diag.CountAlone, head, "Write it below the line of tab it counts.", "There is no line of tab above this count row.")
	case above.counts != nil:
		p.add(diag.Error, diag.CountTwice, head, "Keep one of them.", fmt.Sprintf("The line of tab above, line %d, is counted already.", above.number))
	default:
		above.counts = s
	}
}

// readCounts reads the words of a count row; ok is false where one of them is
// no count.
func (p *page) readCounts(s *sheet) (counts []count, ok bool) {
	ok = true
	for i := skipBlanks(s.cells, s.body); i < len(s.cells); i = skipBlanks(s.cells, i) {
		end := i
		for end < len(s.cells) && s.cells[end].r != blankRune && (s.cells[end].r == '|') == (s.cells[i].r == '|') {
			end++
		}
		read, good := readCountWord(s.cells[i:end])
		if good {
			counts = append(counts, read...)
		} else {
			ok = false
			p.aboutCountWord(s.cells[i:end])
		}
		i = end
	}
	return counts, ok
}

func (p *page) aboutCountWord(word []cell) {
	at := spanOf(word, 0, len(word))
	if c, found := control(word); found {
		p.add(diag.Error, diag.ControlCharacter, c.span(), "Delete it.", sayControl(c.r))
		return
	}
	p.add(diag.Error, diag.UnknownCount, at, "Count with numbers, &, e, a, trip and let.", fmt.Sprintf("“%s” is no count.", shorten(p.text[at.Start:at.End])))
}

// readCountWord reads counts glued together, such as 1e&a.
func readCountWord(word []cell) (counts []count, ok bool) {
	for i := 0; i < len(word); {
		c, n := readCount(word[i:])
		if n == 0 {
			return nil, false
		}
		c.span = spanOf(word, i, i+n)
		counts = append(counts, c)
		i += n
	}
	return counts, true
}

// readCount reads the count that rest begins with, and says how many cells it
// takes; 0 for none.
func readCount(rest []cell) (count, int) {
	if rest[0].r == '|' {
		n := 1
		for n < len(rest) && rest[n].r == '|' {
			n++
		}
		return count{}, n
	}
	if n := skipDigits(rest, 0); n > 0 && number(rest[:n]) > 0 {
		return count{number: number(rest[:n])}, n
	}
	for _, w := range countWords {
		n := len(w.word)
		if len(rest) >= n && strings.EqualFold(words(rest[:n]), w.word) {
			return count{part: w.part}, n
		}
	}
	return count{}, 0
}
