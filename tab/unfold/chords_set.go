package unfold

import (
	"fmt"
	"slices"
	"sort"

	"reedlark/tab/beat"
	"reedlark/tab/chord"
	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// interval is a bar of a block as its rows have it: beats from the first.
type interval struct{ from, to beat.Time }

func (s interval) beats() beat.Time { return s.to.Minus(s.from) }

// setBlock lays the bars of chords over those of the rows.
func (p *page) setBlock(b block) {
	var bars []chordBar
	for _, c := range b.chords {
		bars = append(bars, c.bars...)
	}
	if len(bars) == 0 {
		return
	}
	at := b.chords[0].Cells.Span(b.chords[0].At(), len(b.chords[0].Cells))
	if len(b.rows) == 0 {
		p.addOfChords(diag.Warning, diag.ChordsAlone, at, "", "These chords belong to no line of tab, so they are not played.")
		return
	}
	rows, intervals := p.fit(b, len(bars))
	if len(intervals) != len(bars) && !doubtful(b.rows) {
		p.addOfChords(diag.Warning, diag.ChordsMismatch, at, "Write one bar of chords for every bar of the tab; % repeats a bar.",
			fmt.Sprintf("Here %s of chords meet %s of tab.", plural(len(bars), "bar", "bars"), plural(len(intervals), "bar", "bars")))
	}
	var all []change
	for i := range min(len(bars), len(intervals)) {
		all = append(all, bars[i].over(intervals[i])...)
	}
	hang(rows, all)
	none := placed{chord.Chord{Symbol: "N.C.", Silent: true}, at, 1}
	for _, r := range b.rows { // the others of the block have no chords
		if !slices.Contains(rows, r) {
			hang([]*row{r}, []change{{placed: none}})
		}
	}
}

// addOfChords reports a problem with chords, one severity lower where they are
// not played: the tab sounds the same without them.
func (p *page) addOfChords(sev diag.Severity, code diag.Code, at diag.Span, hint, message string) {
	lighter := map[diag.Severity]diag.Severity{diag.Error: diag.Warning, diag.Warning: diag.Note}
	if !p.played {
		sev = lighter[sev]
	}
	p.Add(sev, code, at, hint, message)
}

// doubtful reports whether some of the rows cannot be read, so that their
// number of bars is unknown.
func doubtful(rows []*row) bool {
	return slices.ContainsFunc(rows, func(r *row) bool { return r.doubt || r.Broken })
}

// nearRows is how many rows are looked at for a number of bars that fits.
const nearRows = 16

// fit finds the rows that n bars of chords belong to: all of the block
// or, where only these have as many bars, those nearest to the chords.
func (p *page) fit(b block, n int) ([]*row, []interval) {
	all := p.choose(b.rows, n)
	if len(all) == n {
		return b.rows, all
	}
	beneath := b.rows[0].Line.Number < b.chords[0].Number
	for k := 1; k <= min(nearRows, len(b.rows)-1); k++ {
		near := b.rows[:k]
		if beneath {
			near = b.rows[len(b.rows)-k:]
		}
		if some := p.choose(near, n); len(some) == n {
			return near, some
		}
	}
	return b.rows, all
}

// over spreads the chords of a bar over it: evenly by their parts, on whole
// beats where there are enough of them.
func (b chordBar) over(s interval) []change {
	total := 0
	for _, c := range b {
		total += c.parts
	}
	out := make([]change, 0, len(b))
	before := 0
	for _, c := range b {
		after := s.beats().Times(before).Over(total)
		if up := beat.Whole(after.Ceil()); !s.beats().Less(beat.Whole(total)) && up.Less(s.beats()) {
			after = up
		}
		out = append(out, change{s.from.Plus(after), c})
		before += c.parts
	}
	return out
}

// intervals are the bars of rows that follow one another: up to every bar line
// that is written, and where none is, as long as the metre says.
func (p *page) intervals(rows []*row, full beat.Time) []interval {
	c := &cutter{full: full}
	if rows[0] == firstPlaying(p.rows) {
		c.first = p.grid.pickup
	}
	for _, r := range rows {
		if bar := p.bar(r); bar.Sign() > 0 {
			c.full = bar
		}
		c.row(r, p.grid.known())
	}
	c.cut(c.at)
	return c.out
}

// cutter cuts rows into bars.
type cutter struct {
	full     beat.Time
	first    beat.Time // the length of the first bar, where it is a pick-up; else 0
	from, at beat.Time // where the open bar began, and where the next item does
	out      []interval
}

func (c *cutter) row(r *row, metre bool) {
	barred := r.barred()
	for i := range r.items {
		it := &r.items[i]
		if barred && it.isBarLine() {
			c.cut(c.at)
		}
		c.at = c.at.Plus(it.time())
		for !barred && !c.at.Less(c.next()) {
			c.cut(c.next())
		}
	}
	if barred && (!metre || !c.at.Less(c.next())) {
		c.cut(c.at)
	}
}

// next is where the open bar ends if it has its full length.
func (c *cutter) next() beat.Time {
	if len(c.out) == 0 && c.first.Sign() > 0 {
		return c.first
	}
	return c.from.Plus(c.full)
}

// cut ends the open bar, if anything is in it.
func (c *cutter) cut(at beat.Time) {
	if c.from.Less(at) {
		c.out = append(c.out, interval{c.from, at})
		c.from = at
	}
}

// time is how long an item takes, with the silence before it.
func (it *item) time() beat.Time {
	if it.Role == tree.Grace {
		return it.gap()
	}
	return it.gap().Plus(it.beats)
}

// choose cuts rows into bars, and counts short ones as players do: a pick-up
// may go without a chord, and two parts of one bar, either side of a repeat
// sign, are one or two. Of these ways the first that fits n bars of chords is
// taken, else the last.
func (p *page) choose(rows []*row, n int) []interval {
	full := beat.Whole(usualBar)
	if p.grid.known() {
		full = p.grid.bar
	}
	all := p.intervals(rows, full)
	ways := [][]interval{all, join(all, full)}
	for _, way := range ways[:2] {
		if len(way) > 1 && way[0].beats().Less(full) {
			ways = append(ways, way[1:])
		}
	}
	for _, way := range ways {
		if len(way) == n {
			return way
		}
	}
	return ways[len(ways)-1]
}

// join makes one bar of two neighbours that fill it together.
func join(all []interval, full beat.Time) []interval {
	var out []interval
	for _, s := range all {
		if n := len(out); n > 0 && s.to.Minus(out[n-1].from) == full {
			out[n-1].to = s.to
			continue
		}
		out = append(out, s)
	}
	return out
}

// hang gives every item of the rows the chords that begin while it lasts and,
// first, the one that sounds where it begins.
func hang(rows []*row, all []change) {
	var at beat.Time
	for _, r := range rows {
		for i := range r.items {
			it := &r.items[i]
			end := at.Plus(it.time())
			if at.Less(end) {
				it.own().chords = during(all, at, end)
			}
			at = end
		}
	}
}

// during cuts the chords out that sound between two moments.
func during(all []change, from, to beat.Time) []change {
	first := sort.Search(len(all), func(i int) bool { return from.Less(all[i].after) })
	end := sort.Search(len(all), func(i int) bool { return !all[i].after.Less(to) })
	var out []change
	for i := max(first-1, 0); i < end; i++ {
		after := beat.Max(from, all[i].after).Minus(from)
		out = append(out, change{after, all[i].placed})
	}
	return out
}
