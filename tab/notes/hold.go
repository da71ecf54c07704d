package notes

import (
	"reedlark/tab/diag"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// settleHolds finds out what the hold marks of a row hold.
func (p *reader) settleHolds(r *Row) {
	before := scan.Note // the last thing that matters to a hold
	leading, seen := true, false
	depth := 0
	for i := range r.Items {
		it := &r.Items[i]
		switch it.Kind {
		case scan.Hold:
			it.Braced = depth > 0
			p.settleHold(r, i, before, leading, &seen)
		case scan.OpenBrace:
			depth++
		case scan.CloseBrace:
			depth--
		case scan.Slide, scan.OpenRepeat:
			before = it.Kind
			leading = leading && it.Kind == scan.Slide
		case scan.Note, scan.Rest, scan.CloseRepeat, scan.Junk:
			before, leading = it.Kind, false
		}
	}
}

// settleHold settles one run of hold marks. Only the first of a line that
// leads it is reported.
func (p *reader) settleHold(r *Row, i int, before scan.Kind, leading bool, seen *bool) {
	it := &r.Items[i]
	switch {
	case before == scan.Slide:
		p.holdError(r, it, "Put the hold before the slide: 4 - -> 6.", "A slide cannot be held.")
	case before == scan.OpenRepeat:
		p.holdError(r, it, "Put it before the repeat sign.", "There is no note inside the repeat yet that could be held.")
	case leading:
		p.leadingHold(r, i, *seen)
		*seen = true
		if !p.played && !it.Braced {
			it.Held = 0
		}
	}
}

func (p *reader) holdError(r *Row, it *Item, hint, message string) {
	if it.Stretch || r.Broken {
		return
	}
	r.Doubt = true
	p.Add(diag.Error, diag.HoldsNothing, it.Span, hint, message)
}

// leadingHold reports a hold that comes first on its line.
func (p *reader) leadingHold(r *Row, i int, seen bool) {
	it := &r.Items[i]
	switch {
	case seen:
	case r.maybeSign(i):
		next := p.Text[r.Items[i+1].Span.Start:r.Items[i+1].Span.End]
		gap := diag.Span{Start: it.Span.End, End: r.Items[i+1].Span.Start}
		p.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.HoldOrDraw, Span: it.Span,
			Message: p.sayLeading() + " It may have been meant as a draw sign.",
			Hint:    "Write -{note}, without the blank, to draw it.",
			Values:  diag.Values{diag.Text("note", next)},
			Edits:   func(e *diag.Editor) { e.Offer("Draw "+next, diag.Change{Span: gap}).All("Draw all of these") },
		})
	case p.played:
		p.Add(diag.Note, diag.HoldFirst, it.Span, "", p.sayLeading())
	default:
		hint := "Write a note before it."
		if p.convention == tree.Signs {
			hint = "Write a note before it, or -4 without a blank to draw."
		}
		p.Add(diag.Warning, diag.HoldOrDraw, it.Span, hint, p.sayLeading())
	}
}

// sayLeading says what a hold at the head of a line does.
func (p *reader) sayLeading() string {
	if p.played {
		return "This hold mark is first on its line, so it holds the last note of the line above."
	}
	return "There is no note above that this hold mark could hold, so it is left out."
}

// maybeSign reports whether the hold at i is one dash before a bare number.
func (r *Row) maybeSign(i int) bool {
	it := &r.Items[i]
	if it.Held != 1 || !r.dashAt(it.From) || i+1 == len(r.Items) {
		return false
	}
	next := &r.Items[i+1]
	return next.Kind == scan.Note && next.Written.Sign == 0 && next.Written.Letter == 0
}
