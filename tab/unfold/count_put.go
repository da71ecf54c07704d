package unfold

import (
	"fmt"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// put gives one item the time of its count.
func (c *counter) put(r *row, it *item, n count, first bool) {
	at := c.fit(n)
	switch {
	case !c.begun:
		c.grid.pickup = c.bar.Minus(at).Mod(c.bar)
	case c.ended:
		c.afterPassed(r, at)
	case first:
		c.closeBefore(at)
		r.waits(at.Minus(c.at))
	default:
		c.last.beats = at.Minus(c.at)
	}
	c.checkBar(at)
	c.at, c.begun, c.ended, c.last = at, true, false, it
	c.counted = append(c.counted, counted{it, at})
}

// fit is the first time a count fits after the one before it.
func (c *counter) fit(n count) beat.Time {
	offset, period := n.part, wholeBeat
	if n.number > 0 {
		offset, period = beat.Whole(n.number-1), c.bar
	}
	switch {
	case !c.begun && n.number > 0:
		return offset
	case !c.begun:
		return c.bar.Minus(wholeBeat).Plus(offset)
	}
	at := offset
	if !c.at.Less(offset) {
		at = c.at.Minus(c.at.Minus(offset).Mod(period))
	}
	if at.Less(c.at) || at == c.at && !c.ended {
		at = at.Plus(period)
	}
	return at
}

// afterPassed joins a count to an uncounted row, which should end on a bar.
func (c *counter) afterPassed(r *row, at beat.Time) {
	if c.at.Mod(c.bar).Sign() != 0 && c.stops.End > 0 {
		c.Add(diag.Warning, diag.UncountedStops, c.stops, "Count it too, or let it end on a bar.", fmt.Sprintf("This line has no counts and stops inside a bar, and line %d goes on counting.", r.Line.Number))
	}
	r.waits(at.Minus(c.at))
}

// barEnd is when the bar ends that a time lies in.
func (c *counter) barEnd(at beat.Time) beat.Time { return at.Minus(at.Mod(c.bar)).Plus(c.bar) }

// closeBar lets the last counted note last until its bar ends.
func (c *counter) closeBar() { c.closeBefore(c.barEnd(c.at)) }

// closeBefore does so too, or ends the note sooner where the next count comes sooner.
func (c *counter) closeBefore(next beat.Time) {
	if c.last == nil {
		return
	}
	end := beat.Min(next, c.barEnd(c.at))
	c.last.beats = end.Minus(c.at)
	c.last, c.at, c.ended = nil, end, true
}

// waits puts silence before the first note of a row.
func (r *row) waits(gap beat.Time) {
	if gap.Sign() <= 0 {
		return
	}
	for i := range r.items {
		if k := r.items[i].Kind; k == scan.Note || k == scan.Rest {
			r.items[i].own().gap = gap
			return
		}
	}
}

// checkBar checks that a bar line in a count row lies between two bars.
func (c *counter) checkBar(at beat.Time) {
	bar := c.barred
	c.barred = nil
	if bar != nil && c.begun && !c.ended && c.barEnd(at) == c.barEnd(c.at) {
		c.Add(diag.Warning, diag.CountBar, bar.span, "Move it, or change the count.", "This bar line stands inside a bar, as the counts go; it is not followed.")
	}
}

// swing marks the halves that swing moves: those of a counted beat that has
// nothing but its number and its half.
func (c *counter) swing() {
	for i := 0; i < len(c.counted); {
		end, only := i, true
		var moved *item
		for end < len(c.counted) && c.counted[end].at.Floor() == c.counted[i].at.Floor() {
			switch c.counted[end].at.Mod(wholeBeat) {
			case halfBeat:
				moved = c.counted[end].it
			case beat.Time{}:
			default:
				only = false
			}
			end++
		}
		if only && moved != nil {
			moved.swung = true
		}
		i = end
	}
}
