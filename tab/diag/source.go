package diag

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// byteOrderMark may stand at the start of a page and has no column.
const byteOrderMark = "\ufeff"

// Place is a range of the page in characters: a line and a column from 1, and
// a length. A range that spans lines counts a line end as typed, so CRLF is two.
type Place struct {
	Line   int `json:"line"`
	Column int `json:"column"`
	Length int `json:"length"`
}

// Source is a page as typed, ready to turn bytes into lines and columns.
type Source struct {
	text   string
	starts []int // byte offset at which each line starts
	// trailing is the offset of each byte that goes on with a character.
	trailing []int
	// Headers is the offset at which a new header line goes in: above the
	// first row, below the title. At first it is the start of the page.
	Headers int
}

// NewSource indexes the lines of a page. A line ends at LF, CR, CRLF or
// U+2028. The first starts behind a byte-order mark.
func NewSource(text string) *Source {
	first := 0
	if strings.HasPrefix(text, byteOrderMark) {
		first = len(byteOrderMark)
	}
	s := &Source{text: text, starts: []int{first}, trailing: trailing(text), Headers: first}
	for i := first; i < len(text); {
		skip := strings.IndexAny(text[i:], "\n\r\u2028")
		if skip < 0 {
			break
		}
		i += skip + lineEnd(text[i+skip:])
		s.starts = append(s.starts, i)
	}
	return s
}

// trailing is the offset of each byte of a text that goes on with a character.
func trailing(text string) []int {
	n := len(text) - utf8.RuneCountInString(text)
	if n == 0 {
		return nil
	}
	out, next := make([]int, 0, n), 0
	for i := range text {
		for ; next < i; next++ {
			out = append(out, next)
		}
		next = i + 1
	}
	for ; next < len(text); next++ {
		out = append(out, next)
	}
	return out
}

// lineEnd is the length in bytes of the line end that s begins with, or 0.
func lineEnd(s string) int {
	for _, end := range []string{"\r\n", "\n", "\r", "\u2028"} {
		if strings.HasPrefix(s, end) {
			return len(end)
		}
	}
	return 0
}

// Lines is the span of each line, its line end left out.
func (s *Source) Lines() []Span {
	out := make([]Span, len(s.starts))
	for i := range s.starts {
		out[i] = s.line(i)
	}
	return out
}

// line is the span of line i, from 0, its line end left out.
func (s *Source) line(i int) Span {
	a, b := s.starts[i], len(s.text)
	if i+1 < len(s.starts) {
		b = s.starts[i+1]
	}
	line := s.text[a:b]
	for _, end := range []string{"\u2028", "\n", "\r"} {
		line = strings.TrimSuffix(line, end)
	}
	return Span{a, a + len(line)}
}

// lineAt is the line, from 0, that an offset lies on.
func (s *Source) lineAt(offset int) int {
	i, found := slices.BinarySearch(s.starts, offset)
	if !found {
		i--
	}
	return max(i, 0)
}

// newline is what ends the first line of the page, "\n" where it has only one.
func (s *Source) newline() string {
	if len(s.starts) < 2 {
		return "\n"
	}
	return s.text[s.line(0).End:s.starts[1]]
}

// Position is the line and column, from 1, of a byte offset.
func (s *Source) Position(offset int) (line, column int) {
	at := s.place(Span{offset, offset})
	return at.Line, at.Column
}

// Span is the range of bytes that a place stands for, cut to the page. It
// undoes what PlaceAll does.
func (s *Source) Span(at Place) Span {
	if at.Line > len(s.starts) {
		return Span{len(s.text), len(s.text)}
	}
	start := forward(s.text, s.starts[max(at.Line-1, 0)], at.Column-1)
	return Span{start, forward(s.text, start, at.Length)}
}

// forward is the offset n characters after another.
func forward(text string, at, n int) int {
	for ; n > 0 && at < len(text); n-- {
		_, size := utf8.DecodeRuneInString(text[at:])
		at += size
	}
	return at
}

// clip keeps a span within the page.
func (s *Source) clip(at Span) Span {
	at.Start = min(max(at.Start, 0), len(s.text))
	at.End = min(max(at.End, at.Start), len(s.text))
	return at
}

// place is the line, column and length of a span.
func (s *Source) place(at Span) Place {
	at = s.clip(at)
	i := s.lineAt(at.Start)
	return Place{i + 1, s.characters(s.starts[i], at.Start) + 1, s.characters(at.Start, at.End)}
}

// characters counts the code points between two offsets; a byte that is not
// UTF-8 counts as one. It does not look at the text between them, so that the
// places of a long line cost no more than those of a short one.
func (s *Source) characters(from, to int) int {
	a, _ := slices.BinarySearch(s.trailing, from)
	b, _ := slices.BinarySearch(s.trailing, to)
	return max(to-from-(b-a), 0)
}
