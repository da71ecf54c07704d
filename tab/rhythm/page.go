package rhythm

import (
	"cmp"
	"slices"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// Page is a page in the order in which it is written.
type Page struct {
	Notes []Note // melody and filler, from the top; a note that is played more often stands here once
	Plays []Play // in playing order

	doc  *tab.Document
	text string
	rows []*row
}

// Note is a written note.
type Note struct {
	Line  int       // from 1
	Span  diag.Span // of the note
	Beats beat.Time // how long it lasts as the page stands
}

// Play is one time a note is played.
type Play struct {
	Note  int // in Page.Notes
	Pass  int // from 1
	Event int // in the events of the piece
}

// written is an event where it is written.
type written struct {
	tab.Event
	waits bool // there is silence before it that no rest stands for
}

// Read looks through a page that has no errors. The text is that of the document.
func Read(doc *tab.Document, text string) *Page {
	p := &Page{doc: doc, text: text}
	index := map[diag.Span]int{}
	var all []written
	end := beat.Time{}
	for _, e := range doc.Unfold().Events {
		if _, had := index[e.Span]; !had {
			index[e.Span] = -1
			all = append(all, written{e, end.Less(e.Start)})
		}
		end = e.Start.Plus(e.Beats)
	}
	slices.SortStableFunc(all, func(a, b written) int { return cmp.Compare(a.Span.Start, b.Span.Start) })
	for _, e := range all {
		if e.Note != nil && e.Role != tab.Grace {
			index[e.Span] = len(p.Notes)
			p.Notes = append(p.Notes, Note{Line: e.Line, Span: e.Span, Beats: e.Beats})
		}
	}
	passes := make([]int, len(p.Notes))
	for i, e := range doc.Unfold().Events {
		if n := index[e.Span]; n >= 0 {
			passes[n]++
			p.Plays = append(p.Plays, Play{Note: n, Pass: passes[n], Event: i})
		}
	}
	p.rows = p.read(all)
	return p
}

// HasRhythm says that the page says how long its notes are: not all of its notes
// and rests last one beat, or it counts.
func (p *Page) HasRhythm() bool {
	for _, e := range p.doc.Unfold().Events {
		if e.Beats.Sign() > 0 && e.Beats != beat.Whole(1) {
			return true
		}
	}
	return slices.ContainsFunc(p.doc.Lines, func(l tab.Line) bool { return l.Kind == tab.CountLine })
}

// Bars is how many bar lines stand between each note and the one played before it,
// for the plays given; -1 where the page does not say: in a row without bar lines
// and at the start of rows.
func (p *Page) Bars(plays []Play) []int {
	out := make([]int, len(plays))
	for i := range plays {
		out[i] = -1
		if i > 0 {
			out[i] = p.barsBetween(plays[i-1].Note, plays[i].Note)
		}
	}
	return out
}

func (p *Page) barsBetween(from, to int) int {
	if to != from+1 || p.Notes[from].Line != p.Notes[to].Line {
		return -1
	}
	for _, r := range p.rows {
		if r.line == p.Notes[from].Line && len(r.bars) > 0 {
			return r.barsIn(p.Notes[from].Span.End, p.Notes[to].Span.Start)
		}
	}
	return -1
}
