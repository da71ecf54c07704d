package scan

import (
	"html"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"

	"reedlark/tab/diag"
)

// badByte stands for a byte that is not UTF-8.
const badByte rune = -1

// Blank is what every kind of blank becomes.
const Blank = ' '

// noWidth stands for an invisible character.
const noWidth rune = -2

// longestEntity is how far after an ampersand its semicolon may be.
const longestEntity = 32

// normalise turns a line as typed into cells: pasted typography becomes the
// signs the language is made of, and what has no width goes with the character
// before it.
func normalise(text string, line diag.Span) Cells {
	cells := make(Cells, 0, line.End-line.Start)
	for i := line.Start; i < line.End; {
		r, size := decode(text[i:line.End])
		if r = fold(r); r != noWidth {
			cells = append(cells, Cell{r, int32(i), int32(i + size)})
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

// decodeEntity reads an HTML entity for one character; size is 0 where s does
// not begin with one.
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
		return Blank
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
