package perform

import (
	"unicode/utf8"

	"reedlark/tab/score"
)

// placed is a note of the score with nothing but its place, on a line from 1.
func (p *player) placed(at span, line int) score.Note {
	l := p.doc.Lines[line-1]
	text := l.Text[at.Start-l.Span.Start : at.End-l.Span.Start]
	_, column := p.doc.Source.Position(at.Start)
	return score.Note{Line: line, Column: column, Length: utf8.RuneCountInString(text), Text: text}
}
