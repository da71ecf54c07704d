//go:build !js

package api

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"reedlark/tab"
)

// place is a line and a column of the page, from 1.
type place struct{ line, column int }

// lyrics are the words that are sung, by the place of the note they belong to.
// The text line right under a tab row has them, unless it is a row of chords:
// as many syllables as notes are one each, and any other number go by where
// they stand.
func (p *Piece) lyrics() map[place]string {
	notes := p.columns()
	out := map[place]string{}
	for i, l := range p.doc.Lines {
		row := p.rowAbove(i)
		if l.Kind != tab.TextLine || row == 0 || len(notes[row]) == 0 {
			continue
		}
		syllables := split(l.Text)
		if len(syllables) == 0 || isChords(l.Text) {
			continue
		}
		for k, s := range syllables {
			at := place{row, notes[row][beside(k, s.column, len(syllables), notes[row])]}
			out[at] = strings.TrimSpace(out[at] + " " + s.text)
		}
	}
	return out
}

// columns are those of the notes with beats of each line, ascending, once each.
func (p *Piece) columns() map[int][]int {
	out := map[int][]int{}
	for _, e := range p.doc.Unfold().Events {
		if e.Note == nil || e.Role == tab.Grace {
			continue
		}
		line, column := p.doc.Source.Position(e.Span.Start)
		out[line] = append(out[line], column)
	}
	for line, columns := range out {
		slices.Sort(columns)
		out[line] = slices.Compact(columns)
	}
	return out
}

// rowAbove is the line of tab right above a line, its count row passed over; 0
// where there is none.
func (p *Piece) rowAbove(i int) int {
	lines := p.doc.Lines
	for i--; i >= 0 && lines[i].Kind == tab.CountLine; i-- {
	}
	if i < 0 || lines[i].Kind != tab.TabLine {
		return 0
	}
	return lines[i].Number
}

// beside is the note that a syllable belongs to.
func beside(k, column, syllables int, notes []int) int {
	if syllables == len(notes) {
		return k
	}
	i, found := slices.BinarySearch(notes, column+1) // a word may begin a little early
	if found {
		return i
	}
	return max(0, i-1)
}

// syllable is a part of a word, with a hyphen where the word goes on, and the
// column it stands at.
type syllable struct {
	text   string
	column int
}

// split takes a line apart into syllables; hyphens that stand alone or at the
// end of a word hold it and are nobody's.
func split(text string) (out []syllable) {
	runes := []rune(text + " ")
	start := -1
	for i, r := range runes {
		if !unicode.IsSpace(r) && r != '-' {
			if start < 0 {
				start = i
			}
			continue
		}
		if start >= 0 {
			s := string(runes[start:i])
			if r == '-' {
				s += "-"
			}
			out = append(out, syllable{s, start + 1})
		}
		start = -1
	}
	return out
}

// chord is a chord symbol as musicians write it.
var chord = regexp.MustCompile(`^(N\.?C\.?|%|\||[A-G][#b♯♭]?(m|maj|min|dim|aug|sus|add|M|°|ø|\+|-|[0-9]|[#b♯♭(),])*(/[A-G][#b♯♭]?)?)$`)

func isChords(text string) bool {
	return !slices.ContainsFunc(strings.Fields(text), func(w string) bool { return !chord.MatchString(w) })
}
