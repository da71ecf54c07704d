package scan

import (
	"strings"

	"reedlark/tab/tree"
)

// The signs that say where the playing goes on, as N of a [Direction]. ref:
// MusicXML 4.0, element sound; the spellings are common practice, no source.
const (
	Fine         = iota + 1 // the end, after a jump “al Fine”
	Segno                   // where D.S. goes back to
	ToCoda                  // where a jump “al Coda” leaves for the coda
	Coda                    // where the coda begins
	DaCapo                  // from the start
	DaCapoFine              // from the start to Fine
	DaCapoCoda              // from the start to the sign, then the coda
	DalSegno                // from the segno
	DalSegnoFine            // from the segno to Fine
	DalSegnoCoda            // from the segno to the sign, then the coda
)

// IsJump reports whether a direction goes back.
func IsJump(direction int) bool { return direction >= DaCapo }

// directionWords are the spellings, in lower case with single blanks; the
// longer of two that begin alike comes first.
var directionWords = []struct {
	text string
	n    int
}{
	{"d.c. al fine", DaCapoFine},
	{"d.c. al coda", DaCapoCoda},
	{"d.c. fine", DaCapoFine},
	{"dc al fine", DaCapoFine},
	{"dc al coda", DaCapoCoda},
	{"da capo al fine", DaCapoFine},
	{"da capo al coda", DaCapoCoda},
	{"da capo", DaCapo},
	{"d.c.", DaCapo},
	{"d.s. al fine", DalSegnoFine},
	{"d.s. al coda", DalSegnoCoda},
	{"ds al fine", DalSegnoFine},
	{"ds al coda", DalSegnoCoda},
	{"dal segno al fine", DalSegnoFine},
	{"dal segno al coda", DalSegnoCoda},
	{"dal segno", DalSegno},
	{"d.s.", DalSegno},
	{"al coda", ToCoda},
	{"to coda", ToCoda},
	{"coda", Coda},
	{"𝄌", Coda},
	{"segno", Segno},
	{"𝄋", Segno},
	{"%", Segno},
	{"fine", Fine},
	{"fin", Fine}, // French and Spanish
	{"fim", Fine}, // Portuguese
}

// direction is a sign found on a line.
type direction struct{ n, from, to int }

// findDirections marks the directions of the page. Where nothing goes back, a
// Fine or a coda is a word like others.
func (p *reader) findDirections() {
	found := map[*Line][]direction{}
	jumps := false
	for _, l := range p.Lines {
		if l.Cells.mayDirect() {
			found[l] = directionsOf(l.Cells)
		}
		for _, d := range found[l] {
			jumps = jumps || IsJump(d.n)
		}
	}
	if !jumps {
		return
	}
	for l, all := range found {
		for _, d := range all {
			l.mark(d.from, mark{Direction, d.n, d.to})
		}
	}
}

// mayDirect reports whether a line has a letter or sign without which there is
// no direction on it.
func (c Cells) mayDirect() bool {
	for _, x := range c {
		if strings.ContainsRune("dDcCfFsS%𝄌𝄋", x.R) {
			return true
		}
	}
	return false
}

// directionsOf are the directions of a line, brackets around them included.
func directionsOf(cells Cells) (out []direction) {
	for i := 0; i < len(cells); {
		d, ok := directionAt(cells, i)
		if ok && (i == 0 || parts(cells[i-1].R)) && (d.to == len(cells) || parts(cells[d.to].R)) {
			out = append(out, d)
			i = d.to
			continue
		}
		i++
	}
	return out
}

// directionAt reads a direction, in brackets or not, that begins at cell i.
func directionAt(cells Cells, i int) (direction, bool) {
	from, closer := i, rune(0)
	if cells[i].R == '(' || cells[i].R == '[' {
		closer = map[rune]rune{'(': ')', '[': ']'}[cells[i].R]
		i = cells.SkipBlanks(i + 1)
	}
	for _, w := range directionWords {
		end, ok := cells.hasWords(i, w.text)
		if !ok {
			continue
		}
		if closer == 0 && end < len(cells) && (cells[end].R == '.' || isColon(cells, end)) {
			end++
		}
		if closer != 0 {
			end = cells.SkipBlanks(end)
			if end == len(cells) || cells[end].R != closer {
				return direction{}, false
			}
			end++
		}
		return direction{w.n, from, end}, true
	}
	return direction{}, false
}

// parts reports whether a character parts a direction from what is beside it.
func parts(r rune) bool { return r == Blank || r == '|' || r == ':' }

// hasWords reports whether text in lower case stands at cell i, in any case and
// with any number of blanks for each of its blanks, and where it ends.
func (c Cells) hasWords(i int, text string) (end int, ok bool) {
	for _, want := range text {
		if i == len(c) {
			return 0, false
		}
		r := c[i].R
		if r >= 'A' && r <= 'Z' {
			r += 'a' - 'A'
		}
		if r != want {
			return 0, false
		}
		i++
		if want == Blank {
			i = c.SkipBlanks(i)
		}
	}
	return i, true
}

// directs reports whether a line has directions and nothing else on it.
func (l *Line) directs() bool {
	for i := l.At(); i < len(l.Cells); i = l.Cells.SkipBlanks(i) {
		m := l.marks[i]
		if m.kind != Direction {
			return false
		}
		i = m.to
	}
	return len(l.marks) > 0
}

// readDirections makes items of a line of directions.
func (l *Line) readDirections() {
	s := &Lexer{Cells: l.Cells, line: l.Number, marks: l.marks, group: -1}
	for i := l.At(); i < len(l.Cells); i = l.Cells.SkipBlanks(i) {
		i = s.marked(i)
	}
	l.Items = s.Items
	l.Kind = tree.SectionLine
}
