// Package diag says where in a page of tab a problem is, and what to write
// instead.
//
// Inside the program a place is a span of bytes of the page as it was typed.
// At the edge, and only there, [Source.Place] turns the span into a line, a
// column and a length, all counted from 1 in characters (code points), which
// is what a person and an editor count in.
//
// A layer that knows the text adds its problems to a [List]; a layer that does
// not returns a plain error, and the layer that holds the span places it.
package diag

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Severity says what a problem means for the sound.
type Severity string

// The three severities. An error has no sensible sound and the page is
// refused; a warning was skipped, repaired or guessed; a note is only said.
const (
	Error   Severity = "error"
	Warning Severity = "warning"
	Note    Severity = "note"
)

// Span is a stretch of the page in bytes, End excluded.
type Span struct{ Start, End int }

// Problem is one thing to say about a page, placed in bytes.
type Problem struct {
	Severity Severity
	Code     Code
	Span     Span
	Message  string // one plain sentence a beginner understands
	Hint     string // what to write instead; empty where nothing is likely
}

// List collects the problems of a page in the order they were found.
type List []Problem

// Add appends a problem. The message is formatted as fmt.Sprintf does only
// when args are given, so that a caller's text is never taken for a format.
func (l *List) Add(sev Severity, code Code, at Span, hint, message string, args ...any) {
	if len(args) > 0 {
		message = fmt.Sprintf(message, args...)
	}
	*l = append(*l, Problem{Severity: sev, Code: code, Span: at, Message: message, Hint: hint})
}

// Has reports whether a problem of this severity is on the list.
func (l List) Has(sev Severity) bool {
	return slices.ContainsFunc(l, func(p Problem) bool { return p.Severity == sev })
}

// Diagnostic is a problem as a person is told it: a line and a column from 1,
// and a length, in characters of the line as typed.
type Diagnostic struct {
	Severity             Severity
	Code                 Code
	Line, Column, Length int
	Message, Hint        string
}

// Source is a page as typed, ready to turn bytes into lines and columns.
type Source struct {
	text   string
	starts []int // byte offset at which each line starts
}

// NewSource indexes the lines of a page. A line ends at LF, CR, CRLF or U+2028.
func NewSource(text string) *Source {
	s := &Source{text: text, starts: []int{0}}
	for i := 0; i < len(text); {
		skip := strings.IndexAny(text[i:], "\n\r\u2028")
		if skip < 0 {
			break
		}
		i += skip + lineEnd(text[i+skip:])
		s.starts = append(s.starts, i)
	}
	return s
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
	for i, a := range s.starts {
		b := len(s.text)
		if i+1 < len(s.starts) {
			b = s.starts[i+1]
		}
		line := s.text[a:b]
		for _, end := range []string{"\u2028", "\n", "\r"} {
			line = strings.TrimSuffix(line, end)
		}
		out[i] = Span{a, a + len(line)}
	}
	return out
}

// Position is the line and column, from 1, of a byte offset.
func (s *Source) Position(offset int) (line, column int) {
	offset = min(max(offset, 0), len(s.text))
	i, found := slices.BinarySearch(s.starts, offset)
	if !found {
		i--
	}
	return i + 1, characters(s.text[s.starts[i]:offset]) + 1
}

// characters counts code points; a byte that is no UTF-8 counts as one.
func characters(s string) int { return utf8.RuneCountInString(s) }

// Place turns a problem's bytes into line, column and length.
func (s *Source) Place(p Problem) Diagnostic {
	line, column := s.Position(p.Span.Start)
	return s.placed(p, line, column)
}

// placed is a problem whose line and column are known.
func (s *Source) placed(p Problem, line, column int) Diagnostic {
	start := min(max(p.Span.Start, 0), len(s.text))
	end := min(max(p.Span.End, start), len(s.text))
	return Diagnostic{p.Severity, p.Code, line, column, characters(s.text[start:end]), p.Message, p.Hint}
}

// PlaceAll places a list in the order of the page; problems of one place keep
// the order in which they were found. It counts every line once, however many
// problems there are on it.
func (s *Source) PlaceAll(l List) []Diagnostic {
	l = slices.Clone(l)
	slices.SortStableFunc(l, func(a, b Problem) int { return a.Span.Start - b.Span.Start })
	out := make([]Diagnostic, len(l))
	line, column, at := 1, 1, 0
	for i, p := range l {
		start := min(max(p.Span.Start, 0), len(s.text))
		if line < len(s.starts) && s.starts[line] <= start {
			line, column = s.Position(start)
		} else {
			column += characters(s.text[at:start])
		}
		at = start
		out[i] = s.placed(p, line, column)
	}
	return out
}
