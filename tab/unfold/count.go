package unfold

import (
	"fmt"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// grid is where the bars of the page lie.
type grid struct {
	bar    beat.Time // beats of a bar; 0 where nothing says
	pickup beat.Time // beats before the first whole bar
}

// known reports whether the page has bars.
func (g grid) known() bool { return g.bar.Sign() > 0 }

// counter gives counted items their time. All times are in beats from the
// start of a bar: the first count of the page says where in its bar the page
// begins.
type counter struct {
	*page
	rows      map[*row][]count
	bar       beat.Time
	begun     bool      // something was played or counted
	at        beat.Time // where the last count fell, or where an uncounted row ended
	ended     bool      // at is such an end
	last      *item     // what the last count began; how long it lasts is still open
	stops     diag.Span // where an uncounted row stopped; empty where its counts could not be used
	barred    *count    // a bar line since the last count
	counted   []counted
	overrides []override
}

// counted is an item that has a count, and when it begins.
type counted struct {
	it *item
	at beat.Time
}

// measure gives every item of the page its length in beats.
func (p *page) measure() {
	for _, r := range p.rows {
		r.fill()
	}
	if p.spaced {
		p.space()
	}
	if p.metre.Beats > 0 {
		p.grid.bar = beat.Whole(p.metre.Beats)
	}
	c := &counter{page: p, rows: map[*row][]count{}}
	if !c.read() {
		return
	}
	c.bar = p.grid.bar
	for _, r := range p.rows {
		c.changeBar(r)
		c.row(r)
	}
	c.closeBar()
	c.swing()
	c.check()
}

// changeBar goes on in bars of another length from a row on, where its metre is
// another.
func (c *counter) changeBar(r *row) {
	bar := c.page.bar(r)
	if bar == c.bar || !r.Sounds() {
		return
	}
	c.closeBar()
	c.bar = bar
	if c.begun {
		c.at, c.ended = beat.Time{}, true
	}
}

// read reads all count rows, and finds the bar they count in. It reports
// whether any row can be counted.
func (c *counter) read() bool {
	highest, first := 0, diag.Span{}
	for _, r := range c.page.rows {
		if r.counts == nil {
			continue
		}
		counts, ok := c.readCounts(r.counts)
		if !ok || !c.numbersFit(r, counts) {
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
	if len(c.rows) > 0 && !c.grid.known() {
		c.guessBar(highest, first)
	}
	return len(c.rows) > 0
}

// numbersFit checks the numbers of a row against the metre.
func (c *counter) numbersFit(r *row, counts []count) bool {
	most := mostCounted
	if r.metre.Beats > 0 {
		most = r.metre.Beats
	}
	for _, n := range counts {
		if n.number > most {
			c.Add(diag.Error, diag.CountPastMetre, n.span, fmt.Sprintf("Count from 1 to %d.", most), fmt.Sprintf("A bar here has only %d beats to count.", most))
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
	c.grid.bar = beat.Whole(highest)
	c.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.MetreGuessed, Span: at,
		Message: "No metre is given, so a bar is taken to have {beats} beats.",
		Hint:    "Write Metre: {beats}/4 above the first line of tab.",
		Values:  diag.Values{diag.Number("beats", highest)},
		Edits:   func(e *diag.Editor) { e.Header(fmt.Sprintf("Metre: %d/4", highest)).Keep() },
	})
}

// row counts one row, or passes over it where it has no counts.
func (c *counter) row(r *row) {
	if !r.Sounds() {
		return
	}
	counts, counted := c.rows[r]
	if !counted || !c.agree(r, counts) {
		c.pass(r)
		return
	}
	c.overridden(r)
	heads := r.heads(len(r.heads(false)) < written(counts))
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

// heads are the items of a row that have counts: notes, rests and filler, and
// what cannot be read where it was counted too.
func (r *row) heads(unread bool) []*item {
	var heads []*item
	for i := range r.items {
		if r.items[i].Sounding() || unread && r.items[i].Kind == scan.Junk {
			heads = append(heads, &r.items[i])
		}
	}
	return heads
}

// written is how many notes a row of counts was written for.
func written(counts []count) (n int) {
	for i := range counts {
		if !counts[i].isBar() {
			n++
		}
	}
	return n
}

// agree checks that a row has as many counts as notes and rests.
func (c *counter) agree(r *row, counts []count) bool {
	notes := len(r.heads(false))
	if r.doubt && len(r.heads(true)) == written(counts) {
		return true
	}
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
		c.Add(diag.Error, diag.CountMismatch, excess, "Write one count below each note and each rest.", fmt.Sprintf("Line %d has %s to count, but this row has %s.", r.Line.Number, plural(notes, "note or rest", "notes and rests"), plural(n, "count", "counts")))
	}
	return false
}

// rowEnd is the byte after the last word of a line.
func (c *counter) rowEnd(s *scan.Line) int {
	used := s.Cells.Trimmed()
	return used[len(used)-1].Span().End
}

// pass moves on over a row without counts, whose notes last as written.
func (c *counter) pass(r *row) {
	c.closeBar()
	if !c.begun {
		c.at, c.begun = c.bar.Minus(c.page.pickupOf(r)).Mod(c.bar), true
	}
	var sum beat.Time
	c.stops = diag.Span{}
	for i := range r.items {
		if it := &r.items[i]; it.beats.Sign() > 0 {
			sum = sum.Plus(it.beats)
			c.stops = it.Span
		}
	}
	if r.counts != nil || r.doubt {
		c.stops = diag.Span{}
	}
	c.at = c.at.Plus(sum.Times(max(r.Times, 1)))
	c.ended = true
}

// plural is a number and what it counts.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
