package tab

import (
	"fmt"
	"html"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"

	"reedlark/tab/diag"
)

// cell is one character of a line after normalisation, and the bytes of the
// page it was typed as.
type cell struct {
	r       rune
	at, end int32
}

// span is where the character was typed.
func (c cell) span() diag.Span { return diag.Span{Start: int(c.at), End: int(c.end)} }

// badByte stands for a byte that is no UTF-8.
const badByte rune = -1

// blankRune is what every kind of blank becomes.
const blankRune = ' '

// noWidth stands for a character that nobody sees and nothing reads.
const noWidth rune = -2

// longestEntity is how far after an ampersand its semicolon may be.
const longestEntity = 32

// normalise turns a line as typed into cells: pasted typography becomes the
// signs the language is made of, and what has no width goes with the character
// before it.
func normalise(text string, line diag.Span) []cell {
	cells := make([]cell, 0, line.End-line.Start)
	for i := line.Start; i < line.End; {
		r, size := decode(text[i:line.End])
		if r = fold(r); r != noWidth {
			cells = append(cells, cell{r, int32(i), int32(i + size)})
		} else if n := len(cells); n > 0 {
			cells[n-1].end = int32(i + size)
		}
		i += size
	}
	return cells
}

// decode reads one character, which may be typed as an HTML entity.
func decode(s string) (r rune, size int) {
	if s[0] == '&' {
		if r, size := decodeEntity(s); size > 0 {
			return r, size
		}
	}
	r, size = utf8.DecodeRuneInString(s)
	if r == utf8.RuneError && size == 1 {
		return badByte, 1
	}
	return r, size
}

// decodeEntity reads an HTML entity that stands for one character; size is 0
// where s does not begin with one.
func decodeEntity(s string) (r rune, size int) {
	end := strings.IndexByte(s[:min(len(s), longestEntity)], ';')
	if end < 0 {
		return 0, 0
	}
	plain := html.UnescapeString(s[:end+1])
	r, n := utf8.DecodeRuneInString(plain)
	if n != len(plain) || r == utf8.RuneError {
		return 0, 0
	}
	return r, end + 1
}

// fold is the canonical form of a character; noWidth for one without width. It
// never goes as far as NFKC, which would read 4² as 42.
func fold(r rune) rune {
	if r >= ' ' && r < utf8.RuneSelf {
		return r
	}
	if narrow := width.LookupRune(r).Folded(); narrow != 0 {
		r = narrow
	}
	switch {
	case r == '\t' || r == '\n' || r == '\r' || unicode.In(r, unicode.Zs, unicode.Zl, unicode.Zp):
		return blankRune
	case unicode.In(r, unicode.Cf, unicode.Variation_Selector):
		return noWidth
	}
	return foldSign(r)
}

// foldSign gives the many spellings of one sign the spelling the reader knows.
func foldSign(r rune) rune {
	switch r {
	case '‐', '‑', '‒', '–', '—', '―', '−', '﹣':
		return '-'
	case '⁄', '∕':
		return '/'
	case '’', '‘', '′', '´':
		return '\''
	case '”', '“', '″':
		return '"'
	case '⬆':
		return '↑'
	case '⬇':
		return '↓'
	case '⟶', '↗', '↘':
		return '→'
	case 'º':
		return '°'
	case '∗':
		return '*'
	case '˜', '∼':
		return '~'
	case '×':
		return 'x'
	}
	return r
}

// spanOf is the stretch of the page that cells from and to, to excluded, were
// typed as.
func spanOf(cells []cell, from, to int) diag.Span {
	return diag.Span{Start: cells[from].span().Start, End: cells[to-1].span().End}
}

// words is the text of cells, normalised.
func words(cells []cell) string {
	b := make([]byte, 0, 32) // mostly enough, and then nothing is allocated but the text
	for _, c := range cells {
		b = utf8.AppendRune(b, c.r)
	}
	return string(b)
}

// skipBlanks is the first cell from i on that is no blank.
func skipBlanks(cells []cell, i int) int {
	for i < len(cells) && cells[i].r == blankRune {
		i++
	}
	return i
}

// skipDigits is the first cell from i on that is no digit.
func skipDigits(cells []cell, i int) int {
	for i < len(cells) && isDigit(cells[i].r) {
		i++
	}
	return i
}

// trimmed is cells without the blanks at both ends.
func trimmed(cells []cell) []cell {
	cells = cells[skipBlanks(cells, 0):]
	for len(cells) > 0 && cells[len(cells)-1].r == blankRune {
		cells = cells[:len(cells)-1]
	}
	return cells
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// control finds the first control character.
func control(cells []cell) (cell, bool) {
	for _, c := range cells {
		if c.r != badByte && unicode.IsControl(c.r) {
			return c, true
		}
	}
	return cell{}, false
}

// sayControl names a control character, which no editor shows.
func sayControl(r rune) string {
	return fmt.Sprintf("An invisible control character, U+%04X, stands here.", r)
}
