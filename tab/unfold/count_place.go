package unfold

import (
	"fmt"

	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// put places the count of one item.
func (c *counter) put(r *row, it *item, n count, first bool) {
	at := c.fit(n)
	switch {
	case !c.begun:
		c.grid.pickup = c.within(c.bar - at).beats()
	case c.ended:
		c.afterPassed(r, at)
	case first:
		r.waits(at - c.close(at))
	default:
		c.last.beats = (at - c.at).beats()
	}
	c.checkBar(at)
	c.at, c.begun, c.ended, c.last = at, true, false, it
	c.places = append(c.places, place{it, at})
}

// fit is the first place a count fits after the one before it.
func (c *counter) fit(n count) ticks {
	offset, period := n.part, perBeat
	if n.number > 0 {
		offset, period = ticks(n.number-1)*perBeat, c.bar
	}
	switch {
	case !c.begun && n.number > 0:
		return offset
	case !c.begun:
		return c.bar - perBeat + offset
	}
	at := offset
	if c.at >= offset {
		at += (c.at - offset) / period * period
	}
	if at < c.at || at == c.at && !c.ended {
		at += period
	}
	return at
}

// afterPassed joins a count to an uncounted row, which should end on a bar.
func (c *counter) afterPassed(r *row, at ticks) {
	if c.within(c.at) != 0 && c.stops.End > 0 {
		c.Add(diag.Warning, diag.UncountedStops, c.stops, "Count it too, or let it end on a bar.", fmt.Sprintf("This line has no counts and stops inside a bar, and line %d goes on counting.", r.Line.Number))
	}
	r.waits(at - c.at)
}

// endless is a place that no count comes to.
const endless ticks = 1 << 62

// close lets the last counted note last until its bar ends, or until next where
// that comes sooner. It returns when the note ends.
func (c *counter) close(next ticks) ticks {
	if c.last == nil {
		return c.at
	}
	end := min(next, (c.at/c.bar+1)*c.bar)
	c.last.beats = (end - c.at).beats()
	c.last, c.at, c.ended = nil, end, true
	return end
}

// waits puts silence before the first note of a row.
func (r *row) waits(gap ticks) {
	if gap <= 0 {
		return
	}
	for i := range r.items {
		if k := r.items[i].Kind; k == scan.Note || k == scan.Rest {
			r.items[i].own().gap = gap.beats()
			return
		}
	}
}

// checkBar checks that a bar line in a count row stands between two bars.
func (c *counter) checkBar(at ticks) {
	bar := c.barred
	c.barred = nil
	if bar != nil && c.begun && !c.ended && at/c.bar == c.at/c.bar {
		c.Add(diag.Warning, diag.CountBar, bar.span, "Move it, or change the count.", "This bar line stands inside a bar, as the counts go; it is not followed.")
	}
}

// within is a place as reckoned from the start of its bar.
func (c *counter) within(at ticks) ticks { return at % c.bar }

// swing marks the halves that swing moves: those of a counted beat that has
// nothing but its number and its half.
func (c *counter) swing() {
	for i := 0; i < len(c.places); {
		end, only := i, true
		var moved *item
		for end < len(c.places) && c.places[end].at/perBeat == c.places[i].at/perBeat {
			switch c.places[end].at % perBeat {
			case perBeat / 2:
				moved = c.places[end].it
			case 0:
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
