package arrange

import (
	"fmt"
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// piece is a tune cut into what a page can say.
type piece struct {
	tune   *melody.Tune // its fingerings are tab; "" where the harp lacks the note
	unit   int          // the note that is a beat, 4 for a quarter
	bars   []bar        // one for each of the tune
	barred bool         // bar lines are written
	said   []string
}

// bar is a bar of the page. Times are beats from its start.
type bar struct {
	of     *melody.Bar
	length beat.Time
	parts  []part
}

// part is a note, a rest, or what is left of a note from the bar before.
type part struct {
	from, to beat.Time
	note     int // of the tune; of a rest the note that is lost, -1 for none
	rest     bool
	goesOn   bool  // it continues a note
	ends     bool  // the note ends with it
	graces   []int // that lean on the note
}

func (p part) length() beat.Time { return p.to.Minus(p.from) }

// prepare cuts a tune, its repeats written out where it is asked for or the page
// could not have them.
func prepare(t *melody.Tune, way *harp.Way, wish harp.Wish, unfolded bool) (*piece, error) {
	p := &piece{unit: unitOf(t), said: append([]string{}, t.Remarks...)}
	t = p.fingered(t, way, wish)
	if cut := t.CutAtSigns(); cut > 0 {
		p.say("%s tied over a repeat or an ending and begin anew there", counted(cut, "note is", "notes are"))
	}
	t.TidyRepeats()
	t.MovePickups(func(i int) bool { return !p.beats(t.BarEnd(i).Minus(t.Bars[i].At)).IsWhole() })
	if unfolded || !p.sayable(t) {
		played, ok := t.Unfold()
		if !ok {
			return nil, ErrTooLong
		}
		t = played
	}
	p.join(t)
	p.dropChords(t)
	p.tune = t
	p.barred = len(t.Bars) > 1 || len(t.Bars) == 1 && t.Bars[0].Metre.Unit > 0
	p.cutBars()
	return p, nil
}

// say keeps a remark for the page.
func (p *piece) say(format string, args ...any) {
	p.said = append(p.said, fmt.Sprintf(format, args...))
}

// counted is a number and what it counts.
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// unitOf is the beat of the page: the shortest of those the metres count.
func unitOf(t *melody.Tune) int {
	unit := 0
	for i := range t.Bars {
		unit = max(unit, t.Bars[i].Metre.Unit)
	}
	if unit == 0 {
		return 4
	}
	return unit
}

// beats are quarters as the page counts them.
func (p *piece) beats(quarters beat.Time) beat.Time { return quarters.Times(p.unit).Over(4) }

// metre is a metre as the page counts it.
func (p *piece) metre(m melody.Metre) melody.Metre {
	if m.Unit == 0 {
		return m
	}
	return melody.Metre{Beats: m.Beats * p.unit / m.Unit, Unit: p.unit}
}

// sayable says that the page can have the repeats of a tune as they are. A
// repeat cannot begin or end inside a beat.
func (p *piece) sayable(t *melody.Tune) bool {
	for i := range t.Bars {
		b := &t.Bars[i]
		if len(b.Endings) > 1 {
			return false
		}
		whole := p.beats(t.BarEnd(i).Minus(b.At)).IsWhole()
		atEdge := i == 0 && !b.Open && !jumps(t) || i == len(t.Bars)-1 && b.Close == 0
		if !whole && !atEdge {
			return false
		}
	}
	return true
}

// jumps says that a tune has a D.C. or the like.
func jumps(t *melody.Tune) bool {
	return slices.ContainsFunc(t.Bars, func(b melody.Bar) bool { return b.Jump.From != melody.NoJump })
}

// join drops the bar lines that lie inside a beat.
func (p *piece) join(t *melody.Tune) {
	var bars []melody.Bar
	var from beat.Time // beats since the last bar line that was kept
	for i, b := range t.Bars {
		inside := !from.IsWhole()
		from = from.Plus(p.beats(t.BarEnd(i).Minus(b.At)))
		if i == 0 {
			from = beat.Whole(from.Ceil()) // a rest fills it
		}
		if inside {
			bars[len(bars)-1].Close = max(bars[len(bars)-1].Close, b.Close)
			continue
		}
		bars = append(bars, b)
	}
	t.Bars = bars
}

// cutBars cuts the notes at the bars. A first bar that is no whole number of
// beats begins with a rest, and a last one ends with one.
func (p *piece) cutBars() {
	c := &cutter{piece: p, last: -1}
	for i := range p.tune.Bars {
		p.bars = append(p.bars, c.bar(i))
	}
	if n := len(p.bars); n > 0 {
		if n > 1 {
			p.bars[0].padFront()
		}
		p.bars[n-1].padBack()
	}
}

// cutter goes through the notes of a tune bar by bar.
type cutter struct {
	*piece
	next   int   // the note that comes next
	last   int   // the one that may still sound; -1 for none
	graces []int // that wait for their note
}

func (c *cutter) bar(i int) bar {
	t := c.tune
	b := bar{of: &t.Bars[i], length: c.beats(t.BarEnd(i).Minus(t.Bars[i].At))}
	var at beat.Time
	within := func(quarters beat.Time) beat.Time { return beat.Min(c.beats(quarters.Minus(b.of.At)), b.length) }
	ends := func(note int) bool { return !t.BarEnd(i).Less(t.Notes[note].End()) }
	if c.last >= 0 {
		if end := within(t.Notes[c.last].End()); at.Less(end) {
			b.parts = append(b.parts, part{to: end, note: c.last, goesOn: true, ends: ends(c.last), rest: t.Notes[c.last].Fingering == ""})
			at = end
		}
	}
	for ; c.next < len(t.Notes) && t.Notes[c.next].At.Less(t.BarEnd(i)); c.next++ {
		n := &t.Notes[c.next]
		if n.Grace {
			c.graces = append(c.graces, c.next)
			continue
		}
		from, end := within(n.At), within(n.End())
		if from.Less(at) || !from.Less(end) {
			continue
		}
		if at.Less(from) {
			b.rest(at, from)
		}
		b.parts = append(b.parts, part{from: from, to: end, note: c.next, ends: ends(c.next), rest: n.Fingering == "", graces: c.leaning(n)})
		at, c.last = end, c.next
	}
	b.rest(at, b.length)
	return b
}

// rest adds silence, cut where it enters and leaves whole beats.
func (b *bar) rest(from, to beat.Time) {
	for _, end := range []beat.Time{beat.Whole(from.Ceil()), beat.Whole(to.Floor()), to} {
		if from.Less(end) && !to.Less(end) {
			b.parts = append(b.parts, part{from: from, to: end, note: -1, rest: true})
			from = end
		}
	}
}

// leaning are the graces that wait for a note.
func (c *cutter) leaning(n *melody.Note) (out []int) {
	for _, g := range c.graces {
		if grace := &c.tune.Notes[g]; grace.At == n.At && grace.Fingering != "" && n.Fingering != "" {
			out = append(out, g)
		}
	}
	c.graces = nil
	return out
}

// padFront lets a bar begin on a beat.
func (b *bar) padFront() {
	pad := beat.Whole(b.length.Ceil()).Minus(b.length)
	if pad.Sign() == 0 {
		return
	}
	for i := range b.parts {
		b.parts[i].from, b.parts[i].to = b.parts[i].from.Plus(pad), b.parts[i].to.Plus(pad)
	}
	b.length = b.length.Plus(pad)
	b.parts = append([]part{{to: pad, note: -1, rest: true}}, b.parts...)
}

// padBack lets a bar end on a beat.
func (b *bar) padBack() {
	full := beat.Whole(b.length.Ceil())
	if full == b.length {
		return
	}
	b.rest(b.length, full)
	b.length = full
}
