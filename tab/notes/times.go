package notes

import (
	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// settleTimes reads the x2 of a row: after :| it belongs to the repeat, at the
// end of the row to the whole line, anywhere else it is an error.
func (p *reader) settleTimes(r *Row) {
	for i := range r.Items {
		it := &r.Items[i]
		switch {
		case it.Kind == scan.CloseRepeat:
			it.Rounds = 2
		case it.Kind != scan.Times:
		case i > 0 && r.Items[i-1].Kind == scan.CloseRepeat:
			r.Items[i-1].Rounds = p.timesOf(r, it)
		case !endsLine(r.Items[i+1:]):
			r.Doubt = true
			p.Report(diag.Problem{
				Severity: diag.Error, Code: diag.TimesInside, Span: it.Span,
				Message: "{word} repeats a whole line, so it belongs at the line's end.",
				Hint:    "Put it at the end of the line, or write |: and :| x3 around what repeats.",
				Values:  diag.Values{diag.Text("word", p.Text[it.Span.Start:it.Span.End])},
				Edits:   func(e *diag.Editor) { moveToEnd(e, it.Span); e.TakeOut() },
			})
		case !r.Sounds() && !r.Doubt:
			p.Report(diag.Problem{
				Severity: diag.Warning, Code: diag.RepeatsNothing, Span: it.Span,
				Message: "{word} repeats nothing, as there is no note on its line.",
				Hint:    "Put it at the end of a line of tab.",
				Values:  diag.Values{diag.Text("word", p.Text[it.Span.Start:it.Span.End])},
				Edits:   func(e *diag.Editor) { e.TakeOut().Keep() },
			})
		default:
			r.Times, r.Timed = p.timesOf(r, it), it.Span
		}
	}
}

// endsLine reports whether nothing but bar lines, breaths, remarks and holds for the
// last time round is left.
func endsLine(items []Item) bool {
	for _, it := range items {
		if it.Kind != scan.Bar && it.Kind != scan.Comma && it.Kind != scan.Remark && it.Kind != scan.Hold {
			return false
		}
	}
	return true
}

// timesOf checks how often something repeats.
func (p *reader) timesOf(r *Row, it *Item) int {
	if it.N >= 1 && it.N <= p.limits.Repeat {
		return it.N
	}
	r.Doubt = true
	p.Report(diag.Problem{
		Severity: diag.Error, Code: diag.RepeatCount, Span: it.Span,
		Message: "Something can be played 1 to {most} times.",
		Hint:    "Write x2 to x{most}.",
		Values:  diag.Values{diag.Number("most", p.limits.Repeat)},
		Edits:   func(e *diag.Editor) { e.Write("x2"); e.TakeOut() },
	})
	return 1
}

// moveToEnd offers to move x2 to the end of its line.
func moveToEnd(e *diag.Editor, at diag.Span) {
	end := e.Line().End
	e.Offer("Repeat the whole line", diag.Change{Span: at}, diag.Change{Span: diag.Span{Start: end, End: end}, Text: " " + e.Text(at)})
}
