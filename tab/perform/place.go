package perform

import (
	"unicode/utf8"

	"reedlark/tab"
	"reedlark/tab/score"
)

// marker finds the columns of notes. Notes come mostly in the order of the
// page, so it counts on from the one before: a long line is not counted anew
// for each of its notes.
type marker struct {
	lines  []tab.Line
	line   int // of the last place found, from 1; 0 at first
	offset int // bytes into the page
	column int // from 1
}

func newMarker(doc *tab.Document) *marker { return &marker{lines: doc.Lines} }

// note is a note of the score with nothing but its place, on a line from 1.
func (m *marker) note(at span, line int) score.Note {
	text := m.text(at, line)
	return score.Note{Line: line, Column: m.columnOf(at.Start, line), Length: utf8.RuneCountInString(text), Text: text}
}

// text is what stands at a place as it was typed.
func (m *marker) text(at span, line int) string { return m.cut(line, at.Start, at.End) }

// columnOf counts characters from the start of the line, or from the last place.
func (m *marker) columnOf(offset, line int) int {
	if line != m.line || offset < m.offset {
		m.line, m.offset, m.column = line, m.lines[line-1].Span.Start, 1
	}
	m.column += utf8.RuneCountInString(m.cut(line, m.offset, offset))
	m.offset = offset
	return m.column
}

// cut is the part of a line between two offsets into the page.
func (m *marker) cut(line, start, end int) string {
	l := m.lines[line-1]
	return l.Text[start-l.Span.Start : end-l.Span.Start]
}
