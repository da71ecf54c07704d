package notes

import (
	"fmt"

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
			p.Add(diag.Error, diag.TimesInside, it.Span, "Put it at the end of the line, or write |: and :| x3 around what repeats.", fmt.Sprintf("%s repeats a whole line, so it stands at the line's end.", p.Text[it.Span.Start:it.Span.End]))
		case !r.Sounds() && !r.Doubt:
			p.Add(diag.Warning, diag.RepeatsNothing, it.Span, "Put it at the end of a line of tab.", fmt.Sprintf("%s repeats nothing, as no note stands on its line.", p.Text[it.Span.Start:it.Span.End]))
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
	p.Add(diag.Error, diag.RepeatCount, it.Span, fmt.Sprintf("Write x2 to x%d.", p.limits.Repeat), fmt.Sprintf("Something can be played 1 to %d times.", p.limits.Repeat))
	return 1
}
