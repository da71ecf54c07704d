package tab

import (
	"fmt"
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// Unfold is the page in playing order, repeats written out. It is bounded by
// the limits of the page, and empty where the page passes them. The piece and
// what it points to are shared between callers and are not to be changed.
func (d *Document) Unfold() *Piece { return d.piece }

// silence is a piece without anything in it.
func silence() *Piece { return &Piece{} }

// sounds says that a piece has a note in it.
func (p *Piece) sounds() bool {
	return slices.ContainsFunc(p.Events, func(e Event) bool { return e.Note != nil })
}

// player plays the steps of a page.
type player struct {
	*Piece
	newPhrase bool
	breath    bool
	line      int         // being played; 0 before the first
	graces    int         // events at the end that wait for the note they lead to
	held      int         // event that a hold makes longer, -1 for none
	lines     []beat.Time // written bar lines, as they are passed
	most      int         // changes of chord that may be played
	tooMany   bool        // there would be more
}

// play unfolds the page.
func (p *page) play() *Piece {
	length, ok := p.bounded()
	if !ok {
		return silence()
	}
	out := &player{Piece: silence(), held: -1, newPhrase: true, most: p.limits.Notes}
	out.Events = make([]Event, 0, length.notes+length.rests) // and some more for silences
	out.Marks = make([]Mark, 0, 2*len(p.rows))               // and some more for repeats
	for _, s := range p.steps {
		out.step(s)
	}
	if out.line != 0 {
		out.Marks = append(out.Marks, Mark{out.line, out.Beats, true})
	}
	if out.tooMany {
		p.add(diag.Error, diag.TooManyNotes, p.chords[0].span, "Cut the page in two, or repeat less.", fmt.Sprintf("With its repeats written out the page has more than %d chords.", p.limits.Notes))
	}
	out.Pickup = p.grid.pickup
	out.Bars = out.lines
	if p.grid.known() {
		out.Bar, out.Bars = p.grid.bar, barsOf(p.grid, out.Beats)
	} else {
		out.trimBars()
	}
	return out.Piece
}

// step plays one step.
func (o *player) step(s step) {
	if s.loop == nil {
		o.item(s.it)
		return
	}
	for range s.loop.times {
		o.repeatSign(s.loop)
		for _, inner := range s.loop.body {
			o.step(inner)
		}
	}
	o.repeatSign(s.loop)
}

// repeatSign passes an end of a loop, where a phrase ends.
func (o *player) repeatSign(l *loop) {
	o.newPhrase = true
	if l.bars {
		o.barLine()
	}
}

// barLine notes where a bar begins.
func (o *player) barLine() { o.lines = append(o.lines, o.Beats) }

// item plays one item.
func (o *player) item(it *item) {
	switch it.kind {
	case barItem:
		o.barLine()
	case breathItem:
		o.newPhrase, o.breath = true, true
	case holdItem:
		o.hold(it)
	case noteItem, restItem:
		o.enter(it)
		o.changes(it)
		if gap := it.gap(); gap.Sign() > 0 {
			o.event(Event{Span: diag.Span{Start: it.span.Start, End: it.span.Start}, Line: it.line, Role: Melody}, gap)
		}
		o.sound(it)
	}
}

// enter moves the playing to the line of an item.
func (o *player) enter(it *item) {
	if o.line == it.line {
		return
	}
	if o.line != 0 {
		o.Marks = append(o.Marks, Mark{o.line, o.Beats, true})
	}
	o.Marks = append(o.Marks, Mark{it.line, o.Beats, false})
	o.line, o.newPhrase = it.line, true
}

// sound plays a note or a rest. A number that is no hole is silent.
func (o *player) sound(it *item) {
	e := Event{Note: it.note, Span: it.span, Line: it.line, Role: it.role, Swung: it.swung}
	if it.role != Grace {
		o.event(e, it.beats)
		return
	}
	if it.kind == noteItem && it.note != nil {
		o.event(e, beat.Time{})
	}
}

// event adds an event and moves on past it. Grace notes stand on the half that
// swing moves with the note they lead to.
func (o *player) event(e Event, beats beat.Time) {
	e.Start, e.Beats = o.Beats, beats
	e.NewPhrase, e.Breath = o.newPhrase, o.breath
	o.newPhrase, o.breath = e.Note == nil, false
	o.Events = append(o.Events, e)
	if e.Role == Grace {
		o.graces++
		return
	}
	last := len(o.Events) - 1
	for i := last - o.graces; i < last; i++ {
		o.Events[i].Swung = e.Swung
	}
	o.graces, o.held = 0, last
	o.Beats = o.Beats.Plus(beats)
}

// hold makes the event before longer. In a brace it may come before any note;
// then it is a rest.
func (o *player) hold(it *item) {
	if it.beats.Sign() == 0 {
		return
	}
	o.enter(it)
	o.changes(it)
	if o.held < 0 {
		o.event(Event{Span: it.span, Line: it.line, Role: Melody}, it.beats)
		return
	}
	e := &o.Events[o.held]
	e.Beats = e.Beats.Plus(it.beats)
	o.Beats = e.Start.Plus(e.Beats)
	for i := len(o.Events) - o.graces; i < len(o.Events); i++ {
		o.Events[i].Start = o.Beats // of graces that wait
	}
}

// trimBars keeps each written bar line once, and none at the very end.
func (o *player) trimBars() {
	var bars []beat.Time
	for _, at := range o.lines {
		if (len(bars) == 0 || bars[len(bars)-1].Less(at)) && at.Less(o.Beats) {
			bars = append(bars, at)
		}
	}
	if len(o.lines) > 0 && (len(bars) == 0 || bars[0].Sign() > 0) {
		bars = append([]beat.Time{{}}, bars...)
	}
	o.Bars = bars
}

// barsOf are the bars of a metre, reckoned from the pick-up.
func barsOf(g grid, beats beat.Time) []beat.Time {
	var bars []beat.Time
	for at := g.pickup; at.Less(beats); at = at.Plus(g.bar) {
		bars = append(bars, at)
	}
	return bars
}
