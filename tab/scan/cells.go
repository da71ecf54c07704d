package scan

import (
	"fmt"
	"unicode"
	"unicode/utf8"

	"reedlark/tab/diag"
)

// Cell is one character of a line after normalisation, and the bytes of the
// page it was typed as.
type Cell struct {
	R       rune
	at, end int32
}

// Span is where the character was typed.
func (c Cell) Span() diag.Span { return diag.Span{Start: int(c.at), End: int(c.end)} }

// Cells are the characters of a line, or some of them.
type Cells []Cell

// Span is the range of the page that cells from and to, to excluded, were typed
// as.
func (c Cells) Span(from, to int) diag.Span {
	return diag.Span{Start: int(c[from].at), End: int(c[to-1].end)}
}

// Text is the normalised text of the cells.
func (c Cells) Text() string {
	b := make([]byte, 0, 32) // mostly enough, and then nothing is allocated but the text
	for _, x := range c {
		b = utf8.AppendRune(b, x.R)
	}
	return string(b)
}

// SkipBlanks is the first cell from i on that is not a blank.
func (c Cells) SkipBlanks(i int) int {
	for i < len(c) && c[i].R == Blank {
		i++
	}
	return i
}

// SkipDigits is the first cell from i on that is not a digit.
func (c Cells) SkipDigits(i int) int {
	for i < len(c) && IsDigit(c[i].R) {
		i++
	}
	return i
}

// Trimmed is the cells without the blanks at both ends.
func (c Cells) Trimmed() Cells {
	c = c[c.SkipBlanks(0):]
	for len(c) > 0 && c[len(c)-1].R == Blank {
		c = c[:len(c)-1]
	}
	return c
}

// IsDigit reports whether a character is one of 0 to 9.
func IsDigit(r rune) bool { return r >= '0' && r <= '9' }

// Number is the value of digits, or a very large one where there are many.
func (c Cells) Number() int {
	const most = 1_000_000
	n := 0
	for _, x := range c {
		n = min(n*10+int(x.R-'0'), most)
	}
	return n
}

// Times reads x2 or 2x. A number too large for any page is above every limit.
func (c Cells) Times() (n int, ok bool) {
	if len(c) < 2 {
		return 0, false
	}
	digits := c[1:]
	if last := c[len(c)-1].R; last == 'x' || last == 'X' {
		digits = c[:len(c)-1]
	} else if c[0].R != 'x' && c[0].R != 'X' {
		return 0, false
	}
	if digits.SkipDigits(0) != len(digits) {
		return 0, false
	}
	return digits.Number(), true
}

// BarAt reports whether bar lines or a repeat sign begin at cell i.
func (c Cells) BarAt(i int) bool {
	return c[i].R == '|' || c[i].R == ':' && i+1 < len(c) && c[i+1].R == '|'
}

// ReportControl reports the first control character of the cells, if any.
func (c Cells) ReportControl(r *diag.Reporter) bool {
	for _, x := range c {
		if x.R != badByte && unicode.IsControl(x.R) {
			r.Report(diag.Problem{
				Severity: diag.Error, Code: diag.ControlCharacter, Span: x.Span(),
				Message: "There is an invisible control character here, U+{code}.",
				Hint:    "Delete it.",
				Values:  diag.Values{diag.Text("code", fmt.Sprintf("%04X", x.R))},
				Edits:   func(e *diag.Editor) { e.Offer("Delete it", diag.Change{Span: e.At}) },
			})
			return true
		}
	}
	return false
}
