package unfold

import (
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// bar is a bar as it is written.
type bar struct {
	full    beat.Time  // what it should have
	metre   tree.Metre // that says so
	beats   beat.Time
	here    beat.Time // those of them on the line that ends it
	span    diag.Span // from its first note to its last
	segment int
	begins  bool // it is the first of its segment
	ends    bool // it is the last of its segment
	skip    bool // something in it cannot be read
}

// barring cuts the page into bars, and these into segments: what lies
// between repeat signs, double bars, section names and the ends of the page.
type barring struct {
	*page
	inForce tree.Metre
	full    beat.Time
	bars    []bar
	now     bar
	filled  bool // something stands in the bar that is open
	fresh   bool // nothing was played in the segment before that bar
	loose   bool // something was played since the last bar that was written

	segment int
	back    map[int]int // from the segment before a repeat sign to the one it goes back to
	open    []int       // segments at which repeats begin
	mark    int         // the segment a lone :| goes back to
	opening int         // the segment the page begins with
	started bool
}

// checkBars compares the bars of the page with its metre, and finds the
// pick-up where no count row did.
func (p *page) checkBars() {
	if !p.grid.known() {
		return
	}
	b := &barring{page: p, full: p.grid.bar, inForce: p.metre, back: map[int]int{}}
	b.reset()
	b.fresh = true
	for _, r := range p.rows {
		b.row(r)
	}
	b.boundary()
	if p.metre.Beats > 0 {
		b.check()
	}
	if first := firstPlaying(p.rows); first != nil && first.counts == nil {
		p.grid.pickup = p.pickupOf(first)
	}
}

// firstPlaying is the first row with a note or a rest on it.
func firstPlaying(rows []*row) *row {
	for _, r := range rows {
		if r.Sounds() {
			return r
		}
	}
	return nil
}

// pickupOf is the beats before the first bar line of a row, where they are less
// than a bar.
func (p *page) pickupOf(r *row) beat.Time {
	var sum beat.Time
	for i := range r.items {
		it := &r.items[i]
		if it.isBarLine() && sum.Sign() > 0 {
			break
		}
		sum = sum.Plus(it.beats)
	}
	if !r.barred() || !sum.Less(p.grid.bar) {
		return beat.Time{}
	}
	return sum
}

// isBarLine reports whether a bar ends at the item.
func (it *item) isBarLine() bool {
	return it.Kind == scan.Bar || it.Kind == scan.OpenRepeat || it.Kind == scan.CloseRepeat
}

// barred reports whether a row has bar lines. Repeat signs alone make none.
func (r *row) barred() bool {
	for i := range r.items {
		if r.items[i].Kind == scan.Bar {
			return true
		}
	}
	return false
}

// row cuts one row.
func (b *barring) row(r *row) {
	start := b.segment
	if r.Times > 1 {
		b.boundary()
		start = b.segment
	}
	if full := b.bar(r); full != b.full && r.Sounds() {
		b.boundary()
		b.full, b.inForce = full, r.metre
		b.reset()
	}
	b.now.here = beat.Time{}
	checked, unchecked := r.barred() && !r.Broken, r.Sounds() && (!r.barred() || r.Broken)
	for i := range r.items {
		it := &r.items[i]
		b.take(it)
		if unchecked && it.isBarLine() {
			b.lineEnds(false)
		}
		b.sign(it, checked)
	}
	b.lineEnds(checked)
	if r.Times > 1 {
		b.back[b.segment] = start
		b.boundary()
	}
}

// take adds the time of an item to the bar.
func (b *barring) take(it *item) {
	n := &b.now
	if it.Kind == scan.Junk || it.Kind == scan.Note && it.Note == nil {
		n.skip = true
	}
	beats := it.gap().Plus(it.beats)
	if beats.Sign() == 0 {
		return
	}
	n.beats, n.here = n.beats.Plus(beats), n.here.Plus(beats)
	if !b.filled {
		n.span.Start = it.Span.Start
	}
	if !b.started {
		b.started, b.opening = true, b.segment
	}
	n.span.End, b.filled = it.Span.End, true
}

// sign ends a bar at a bar line, and a segment at a sign of the form.
func (b *barring) sign(it *item, checked bool) {
	if it.isBarLine() && checked {
		b.end()
	}
	switch {
	case it.Kind == scan.OpenRepeat:
		b.boundary()
		b.open = append(b.open, b.segment)
	case it.Kind == scan.CloseRepeat:
		b.back[b.segment] = b.opened()
		b.boundary()
		b.mark = b.segment
	case it.Kind == scan.Name, it.Kind == scan.Bar && it.N > 1:
		b.boundary()
		b.mark = b.segment
	}
}

// opened is the segment a repeat sign goes back to.
func (b *barring) opened() int {
	n := len(b.open)
	if n == 0 {
		return b.mark
	}
	last := b.open[n-1]
	b.open = b.open[:n-1]
	return last
}

// end ends the open bar, if it holds anything.
func (b *barring) end() {
	if b.filled {
		b.now.segment, b.now.begins = b.segment, b.fresh
		b.bars = append(b.bars, b.now)
		b.fresh, b.loose = false, false
	}
	b.reset()
}

func (b *barring) reset() {
	b.now, b.filled = bar{full: b.full, metre: b.inForce}, false
}

// lineEnds ends a bar that is full. A bar that is not goes on in the next line
// of tab; a line without bar lines does not show which bar is too long.
func (b *barring) lineEnds(checked bool) {
	full := !b.now.beats.Less(b.full)
	if !checked && b.filled {
		b.fresh, b.loose = false, true
	}
	switch {
	case checked && full:
		b.end()
	case full:
		rest := b.now.beats.Mod(b.full)
		b.reset()
		b.now.beats, b.filled = rest, rest.Sign() > 0
		b.now.skip = b.filled
	case !checked:
		b.now.skip = b.filled
	}
}

// boundary ends a segment, and with it a bar that is not full.
func (b *barring) boundary() {
	b.end()
	if n := len(b.bars); n > 0 && b.bars[n-1].segment == b.segment && !b.loose {
		b.bars[n-1].ends = true
	}
	b.segment++
	b.fresh, b.loose = true, false
}
