package server

import (
	"fmt"
	"slices"
	"strings"

	"reedlark/api/web"
	"reedlark/openapi"
)

// plainLines are the lines of a text that could not be read.
func plainLines(tab string) (out []web.Line) {
	for line := range strings.Lines(tab) {
		out = append(out, web.Line{Kind: "text", Parts: between(strings.TrimRight(line, "\r\n"))})
	}
	return out
}

// between is the part of a line between two notes.
func between(text string) []web.Part {
	if text == "" {
		return nil
	}
	return []web.Part{{Text: text}}
}

// lines splits the lines of a page into the notes that sound and the text between them.
func lines(score openapi.Score) []web.Line {
	notes := map[int][]openapi.Note{}
	for _, n := range score.Notes {
		if n.Role != openapi.NoteRoleSlide {
			notes[n.Line] = append(notes[n.Line], n)
		}
	}
	out := make([]web.Line, len(score.Lines))
	for i, l := range score.Lines {
		out[i] = web.Line{Kind: string(l.Kind), Parts: cut([]rune(l.Text), notes[l.Line])}
	}
	return out
}

// cut splits a line. A note that is played more than once is one part.
func cut(text []rune, notes []openapi.Note) (parts []web.Part) {
	slices.SortStableFunc(notes, func(a, b openapi.Note) int { return a.Column - b.Column })
	at := 0
	for _, n := range notes {
		start, end := n.Column-1, n.Column-1+n.Length
		if start < at || end > len(text) {
			continue
		}
		parts = append(parts, between(string(text[at:start]))...)
		parts = append(parts, web.Part{Text: string(text[start:end]), Names: names(n), At: fmt.Sprintf("%d:%d", n.Line, n.Column)})
		at = end
	}
	return append(parts, between(string(text[at:]))...)
}

func names(n openapi.Note) string {
	all := make([]string, len(n.Voices))
	for i, v := range n.Voices {
		all[i] = v.Name
	}
	return strings.Join(all, " ")
}
