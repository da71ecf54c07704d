// Package unfold puts the notes of a page into playing order, in exact beats.
//
// First the rows are joined to steps with their repeats folded (repeat), then
// every item gets its length, by its row (brace) or by the counts below it
// (count, count_put, override). Bars and limits are checked (bar, bar_check,
// length, size) and chords are laid over the bars (chords). Last, the steps are
// walked, repeats written out (unfold). What a page asks for is computed before
// it is expanded, so no work grows faster than the page and its limits.
package unfold

import (
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/notes"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// item is an item with its place in time.
type item struct {
	*notes.Item
	beats beat.Time // time it takes; 0 for none
	extra *extra    // nil for most
	swung bool      // begins on a half that swing moves
}

// extra is what only items of a page with counts or chords have.
type extra struct {
	gap    beat.Time // silence before it; 0 for none
	chords []change  // that sound while it lasts
}

// gap is the silence before the item.
func (it *item) gap() beat.Time {
	if it.extra == nil {
		return beat.Time{}
	}
	return it.extra.gap
}

// own is what the item has of its own besides.
func (it *item) own() *extra {
	if it.extra == nil {
		it.extra = &extra{}
	}
	return it.extra
}

// row is a row with the lengths of its items.
type row struct {
	*notes.Row
	items  []item
	counts *scan.Line // its count row, nil for none
	metre  tree.Metre // in force; zero where the page has none
	doubt  bool       // something on it cannot be read: what follows from that is not reported
}

func newRow(r *notes.Row) *row {
	out := &row{Row: r, items: make([]item, len(r.Items)), doubt: r.Doubt}
	for i := range r.Items {
		out.items[i].Item = &r.Items[i]
	}
	return out
}

// page is a page on its way to a piece.
type page struct {
	*diag.Reporter
	lines    []*scan.Line
	metre    tree.Metre
	limits   tree.Limits
	played   bool // the chords are played too
	rows     []*row
	silent   bool // no note or rest is on its rows, so that its chords stand for them
	chords   []*chordRow
	steps    []step
	grid     grid
	changing bool // the metre changes on the way
	spaced   bool // blanks show the rhythm
}

// setMetres gives every row the metre in force there.
func (p *page) setMetres() {
	metre, k := p.metre, 0
	for _, r := range p.rows {
		for ; k < len(p.lines) && p.lines[k].Number < r.Line.Number; k++ {
			if m := p.lines[k].Metre; m != (tree.Metre{}) {
				metre, p.changing = m, true
			}
		}
		r.metre = metre
	}
}

// bar is a whole bar of a row, in beats: as its metre says, else as the page is
// counted; 0 where neither says.
func (p *page) bar(r *row) beat.Time {
	if r.metre.Beats > 0 {
		return beat.Whole(r.metre.Beats)
	}
	return p.grid.bar
}

// Unfold makes a piece of the rows of a page. It is empty where the page passes
// its limits. The limits of the options are filled in.
func Unfold(r *diag.Reporter, from *scan.Page, rows []*notes.Row, o tree.Options) *tree.Piece {
	p := &page{Reporter: r, lines: from.Lines, metre: from.Metre, spaced: from.Head.Spaced, limits: o.Limits, played: o.Chords}
	for _, r := range rows {
		p.rows = append(p.rows, newRow(r))
	}
	p.setMetres()
	p.silent = firstPlaying(p.rows) == nil
	p.attachCounts()
	p.readChordRows()
	p.arrange()
	p.jump()
	p.measure()
	p.checkLengths()
	p.checkBars()
	p.setChords()
	piece := p.play()
	p.checkSilence(piece)
	return piece
}
