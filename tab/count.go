package tab

import (
	"fmt"
	"math/big"

	"reedlark/tab/diag"
)

// grid is where the bars of the page lie.
type grid struct {
	bar    *big.Rat // beats of a bar; nil where nothing says
	pickup *big.Rat // beats before the first whole bar
}

// counter puts counts at their places. A place is in beats from the start of
// a bar: the first count of the page says where in its bar the page begins.
type counter struct {
	*page
	rows   map[*row][]count
	bar    *big.Rat
	at     *big.Rat  // where the last count fell, or where an uncounted row ended
	ended  bool      // at is such an end
	last   *item     // what the last count began; how long it lasts is still open
	stops  diag.Span // where an uncounted row stopped
	barred *count    // a bar line since the last count
	places []place
	claims []claim
}

// place is where a counted item begins.
type place struct {
	it *item
	at *big.Rat
}

// measure gives every item of the page its length in beats.
func (p *page) measure() {
	for _, r := range p.rows {
		r.fill()
	}
	p.grid.pickup = new(big.Rat)
	if p.Metre.Beats > 0 {
		p.grid.bar = big.NewRat(int64(p.Metre.Beats), 1)
	}
	c := &counter{page: p, rows: map[*row][]count{}}
	if !c.read() {
		return
	}
	c.bar = p.grid.bar
	for _, r := range p.Document.rows {
		c.row(r)
	}
	c.close(nil)
	c.swing()
	c.check()
}

// read reads all count rows, and finds the bar they count in. It reports
// whether any row can be counted.
func (c *counter) read() bool {
	highest, first := 0, diag.Span{}
	for _, r := range c.Document.rows {
		if r.counts == nil {
			continue
		}
		counts, ok := c.readCounts(r.counts)
		if !ok || !c.numbersFit(counts) {
			continue
		}
		for _, n := range counts {
			if highest == 0 {
				first = n.span
			}
			highest = max(highest, n.number)
		}
		c.rows[r] = counts
	}
	if len(c.rows) > 0 && c.grid.bar == nil {
		c.guessBar(highest, first)
	}
	return len(c.rows) > 0
}

// numbersFit checks the numbers of a row against the metre.
func (c *counter) numbersFit(counts []count) bool {
	most := mostCounted
	if c.Metre.Beats > 0 {
		most = c.Metre.Beats
	}
	for _, n := range counts {
		if n.number > most {
			c.add(diag.Error, diag.CountPastMetre, n.span, fmt.Sprintf("Count from 1 to %d.", most), fmt.Sprintf("A bar here has only %d beats to count.", most))
			return false
		}
	}
	return true
}

// guessBar takes the highest number counted for the beats of a bar; a page
// counted to 1 or 2 is taken for one of 4.
func (c *counter) guessBar(highest int, at diag.Span) {
	if highest <= 2 {
		highest = 4
	}
	c.grid.bar = big.NewRat(int64(highest), 1)
	c.add(diag.Warning, diag.MetreGuessed, at, fmt.Sprintf("Write Metre: %d/4 above the first line of tab.", highest), fmt.Sprintf("No metre is given, so a bar is taken to have %d beats.", highest))
}

// row counts one row, or passes over it where it has no counts.
func (c *counter) row(r *row) {
	if !r.sounds() {
		return
	}
	counts, counted := c.rows[r]
	if !counted || !c.agree(r, counts) {
		c.pass(r)
		return
	}
	c.claim(r)
	heads := r.heads()
	k := 0
	for i := range counts {
		if counts[i].isBar() {
			c.barred = &counts[i]
			continue
		}
		c.put(r, heads[k], counts[i], k == 0)
		k++
	}
}

// heads are the items of a row that have counts: notes, rests and filler.
func (r *row) heads() []*item {
	var heads []*item
	for i := range r.items {
		if r.items[i].sounding() {
			heads = append(heads, &r.items[i])
		}
	}
	return heads
}

// agree checks that a row has as many counts as notes and rests.
func (c *counter) agree(r *row, counts []count) bool {
	notes := len(r.heads())
	n, excess := 0, diag.Span{}
	for _, k := range counts {
		if k.isBar() {
			continue
		}
		if n == notes {
			excess = k.span
		}
		n++
	}
	if n == notes {
		return true
	}
	if n < notes {
		end := c.rowEnd(r.counts)
		excess = diag.Span{Start: end, End: end}
	}
	if !r.doubt {
		c.add(diag.Error, diag.CountMismatch, excess, "Write one count below each note and each rest.", fmt.Sprintf("Line %d has %s to count, but this row has %s.", r.number, plural(notes, "note or rest", "notes and rests"), plural(n, "count", "counts")))
	}
	return false
}

// rowEnd is the byte after the last word of a line.
func (c *counter) rowEnd(s *sheet) int {
	used := trimmed(s.cells)
	return used[len(used)-1].end
}

// pass moves on over a row without counts, whose notes last as written.
func (c *counter) pass(r *row) {
	c.close(nil)
	if c.at == nil {
		c.at = c.within(new(big.Rat).Sub(c.bar, c.page.pickupOf(r)))
	}
	sum := new(big.Rat)
	for i := range r.items {
		if it := &r.items[i]; it.beats != nil {
			sum.Add(sum, it.beats)
			c.stops = it.span
		}
	}
	sum.Mul(sum, big.NewRat(int64(max(r.times, 1)), 1))
	c.at, c.ended = new(big.Rat).Add(c.at, sum), true
}

// put places the count of one item.
func (c *counter) put(r *row, it *item, n count, first bool) {
	at := c.fit(n)
	switch {
	case c.at == nil:
		c.grid.pickup = c.within(new(big.Rat).Sub(c.bar, at))
	case c.ended:
		c.afterPassed(r, at)
	case first:
		c.afterRow(r, at)
	default:
		c.last.beats = new(big.Rat).Sub(at, c.at)
	}
	c.checkBar(at)
	c.at, c.ended, c.last = at, false, it
	c.places = append(c.places, place{it, at})
}

// fit is the first place a count fits after the one before it.
func (c *counter) fit(n count) *big.Rat {
	offset, period := n.part, wholeBeat()
	if n.number > 0 {
		offset, period = big.NewRat(int64(n.number-1), 1), c.bar
	}
	switch {
	case c.at == nil && n.number > 0:
		return offset
	case c.at == nil:
		return new(big.Rat).Add(new(big.Rat).Sub(c.bar, period), offset)
	}
	turns := new(big.Rat).Sub(c.at, offset)
	turns.SetInt(floor(turns.Quo(turns, period)))
	at := turns.Add(turns.Mul(turns, period), offset)
	if at.Cmp(c.at) < 0 || at.Cmp(c.at) == 0 && !c.ended {
		at.Add(at, period)
	}
	return at
}

// afterPassed joins a count to an uncounted row, which should end on a bar.
func (c *counter) afterPassed(r *row, at *big.Rat) {
	if c.within(c.at).Sign() != 0 {
		c.add(diag.Warning, diag.UncountedStops, c.stops, "Count it too, or let it end on a bar.", fmt.Sprintf("This line has no counts and stops inside a bar, and line %d goes on counting.", r.number))
	}
	r.waits(new(big.Rat).Sub(at, c.at))
}

// afterRow joins a count to the last note of the counted row before.
func (c *counter) afterRow(r *row, at *big.Rat) {
	end := c.close(at)
	r.waits(new(big.Rat).Sub(at, end))
}

// close lets the last counted note last until its bar ends, or until next where
// that comes sooner. It returns when the note ends.
func (c *counter) close(next *big.Rat) *big.Rat {
	if c.last == nil {
		return c.at
	}
	end := new(big.Rat).Quo(c.at, c.bar)
	end.SetInt(floor(end))
	end.Mul(end.Add(end, wholeBeat()), c.bar)
	if next != nil && next.Cmp(end) < 0 {
		end = next
	}
	c.last.beats = new(big.Rat).Sub(end, c.at)
	c.last, c.at, c.ended = nil, end, true
	return end
}

// waits puts silence before the first note of a row.
func (r *row) waits(gap *big.Rat) {
	if gap.Sign() <= 0 {
		return
	}
	for i := range r.items {
		if k := r.items[i].kind; k == noteItem || k == restItem {
			r.items[i].gap = gap
			return
		}
	}
}

// checkBar checks that a bar line in a count row stands between two bars.
func (c *counter) checkBar(at *big.Rat) {
	bar := c.barred
	c.barred = nil
	if bar == nil || c.at == nil || c.ended {
		return
	}
	number := func(at *big.Rat) int64 { return floor(new(big.Rat).Quo(at, c.bar)).Int64() }
	if number(at) == number(c.at) {
		c.add(diag.Warning, diag.CountBar, bar.span, "Move it, or change the count.", "This bar line stands inside a bar, as the counts go; it is not followed.")
	}
}

// within is a place as beats from the start of its bar.
func (c *counter) within(at *big.Rat) *big.Rat {
	bars := new(big.Rat).Quo(at, c.bar)
	bars.SetInt(floor(bars))
	return bars.Sub(at, bars.Mul(bars, c.bar))
}

// floor is the largest whole number that is not above x.
func floor(x *big.Rat) *big.Int { return new(big.Int).Div(x.Num(), x.Denom()) }

// swing marks the halves that swing moves: those of a counted beat that has
// nothing but its number and its half.
func (c *counter) swing() {
	half := big.NewRat(1, 2)
	for i := 0; i < len(c.places); {
		beat, end := floor(c.places[i].at), i
		var moved *item
		only := true
		for end < len(c.places) && floor(c.places[end].at).Cmp(beat) == 0 {
			part := new(big.Rat).Sub(c.places[end].at, new(big.Rat).SetInt(beat))
			switch {
			case part.Cmp(half) == 0:
				moved = c.places[end].it
			case part.Sign() != 0:
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

// plural is a number and what it counts.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
