package tab

import (
	"fmt"

	"reedlark/tab/diag"
)

// settleHolds finds out what the hold marks of a row hold.
func (p *page) settleHolds(r *row) {
	before := noteItem // the last thing that matters to a hold
	leading, seen := true, false
	depth := 0
	for i := range r.items {
		it := &r.items[i]
		switch it.kind {
		case holdItem:
			it.braced = depth > 0
			p.settleHold(r, i, before, leading, &seen)
		case openBrace:
			depth++
		case closeBrace:
			depth--
		case slideItem, openRepeat:
			before = it.kind
			leading = leading && it.kind == slideItem
		case noteItem, restItem, closeRepeat, junkItem:
			before, leading = it.kind, false
		}
	}
}

// settleHold settles one run of hold marks. Only the first of a line that
// leads it is reported.
func (p *page) settleHold(r *row, i int, before kind, leading bool, seen *bool) {
	it := &r.items[i]
	switch {
	case before == slideItem:
		p.holdError(r, it, "Put the hold before the slide: 4 - -> 6.", "A slide cannot be held.")
	case before == openRepeat:
		p.holdError(r, it, "Put it before the repeat sign.", "There is no note inside the repeat yet that could be held.")
	case leading:
		p.leadingHold(r, i, *seen)
		*seen = true
		if !p.played && !it.braced {
			it.n = 0
		}
	}
}

func (p *page) holdError(r *row, it *item, hint, message string) {
	if it.stretch || r.broken {
		return
	}
	r.doubt = true
	p.add(diag.Error, diag.HoldsNothing, it.span, hint, message)
}

// leadingHold reports a hold that comes first on its line.
func (p *page) leadingHold(r *row, i int, seen bool) {
	it := &r.items[i]
	switch {
	case seen:
	case r.maybeSign(i):
		next := p.text[r.items[i+1].span.Start:r.items[i+1].span.End]
		p.add(diag.Warning, diag.HoldOrDraw, it.span, fmt.Sprintf("Write -%s, without the blank, to draw it.", shorten(next)), p.sayLeading()+" It may have been meant as a draw sign.")
	case p.played:
		p.add(diag.Note, diag.HoldFirst, it.span, "", p.sayLeading())
	default:
		hint := "Write a note before it."
		if p.Convention == Signs {
			hint = "Write a note before it, or -4 without a blank to draw."
		}
		p.add(diag.Warning, diag.HoldOrDraw, it.span, hint, p.sayLeading())
	}
}

// sayLeading says what a hold at the head of a line does.
func (p *page) sayLeading() string {
	if p.played {
		return "This hold mark is first on its line, so it holds the last note of the line above."
	}
	return "There is no note above that this hold mark could hold, so it is left out."
}

// maybeSign says that the hold at i is one dash before a bare number.
func (r *row) maybeSign(i int) bool {
	it := &r.items[i]
	if it.n != 1 || !r.dashAt(it.from) || i+1 == len(r.items) {
		return false
	}
	next := &r.items[i+1]
	return next.kind == noteItem && next.written.sign == 0 && next.written.letter == 0
}
