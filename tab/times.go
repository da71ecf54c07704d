package tab

import (
	"fmt"

	"reedlark/tab/diag"
)

// settleTimes reads the x2 of a row: after :| it belongs to the repeat, at the
// end of the row to the whole line, anywhere else it is an error.
func (p *page) settleTimes(r *row) {
	for i := range r.items {
		it := &r.items[i]
		switch {
		case it.kind == closeRepeat:
			it.n = 2
		case it.kind != timesItem:
		case i > 0 && r.items[i-1].kind == closeRepeat:
			r.items[i-1].n = p.timesOf(r, it)
		case !endsLine(r.items[i+1:]):
			r.doubt = true
			p.add(diag.Error, diag.TimesInside, it.span, "Put it at the end of the line, or write |: and :| x3 around what repeats.", fmt.Sprintf("%s repeats a whole line, so it stands at the line's end.", p.text[it.span.Start:it.span.End]))
		case !r.sounds() && !r.doubt:
			p.add(diag.Warning, diag.RepeatsNothing, it.span, "Put it at the end of a line of tab.", fmt.Sprintf("%s repeats nothing, as no note stands on its line.", p.text[it.span.Start:it.span.End]))
		default:
			r.times, r.timed = p.timesOf(r, it), it.span
		}
	}
}

// endsLine says that nothing but bar lines, breaths, remarks and holds for the
// last time round is left.
func endsLine(items []item) bool {
	for _, it := range items {
		if it.kind != barItem && it.kind != breathItem && it.kind != remarkItem && it.kind != holdItem {
			return false
		}
	}
	return true
}

// timesOf checks how often something repeats.
func (p *page) timesOf(r *row, it *item) int {
	if it.n >= 1 && it.n <= p.limits.Repeat {
		return it.n
	}
	r.doubt = true
	p.add(diag.Error, diag.RepeatCount, it.span, fmt.Sprintf("Write x2 to x%d.", p.limits.Repeat), fmt.Sprintf("Something can be played 1 to %d times.", p.limits.Repeat))
	return 1
}
