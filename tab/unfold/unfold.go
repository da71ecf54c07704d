package unfold

import (
	"fmt"
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// silence is a piece without anything in it.
func silence() *tree.Piece { return &tree.Piece{} }

// checkSilence reports that the page has no notes, unless its chords are to be
// played.
func (p *page) checkSilence(piece *tree.Piece) {
	sounds := slices.ContainsFunc(piece.Events, func(e tree.Event) bool { return e.Note != nil })
	switch {
	case sounds || p.Has(diag.Error):
	case len(piece.Chords) == 0:
		p.Add(diag.Error, diag.NothingToPlay, diag.Span{}, "Write a line of hole numbers, such as 4 -4 5.", "There is nothing to play on this page.")
	case !p.played:
		p.Add(diag.Error, diag.NothingToPlay, diag.Span{}, "Write a line of hole numbers, such as 4 -4 5, or ask for the chords to be played.", "There is nothing to play on this page but its chords.")
	}
}

// walker walks the steps of a page.
type walker struct {
	*tree.Piece
	newPhrase bool
	breath    bool
	line      int                // being played; 0 before the first
	graces    int                // events at the end that wait for the note they lead to
	held      int                // event that a hold makes longer, -1 for none
	lines     []beat.Time        // written bar lines, as they are passed
	most      int                // changes of chord that may be played
	metres    map[int]tree.Metre // in force, by line; nil where it never changes
	metre     tree.Metre
	tooMany   bool // there would be more
}

// play unfolds the page.
func (p *page) play() *tree.Piece {
	length, ok := p.bounded()
	if !ok {
		return silence()
	}
	out := &walker{Piece: silence(), held: -1, newPhrase: true, most: p.limits.Notes, metres: p.metresOfLines(), metre: p.metre}
	out.Events = make([]tree.Event, 0, length.notes+length.rests) // and some more for silences
	out.Marks = make([]tree.Mark, 0, 2*len(p.rows))               // and some more for repeats
	for _, s := range p.steps {
		out.step(s)
	}
	if out.line != 0 {
		out.Marks = append(out.Marks, tree.Mark{Line: out.line, At: out.Beats, Leave: true})
	}
	if out.tooMany {
		p.Add(diag.Error, diag.TooManyNotes, p.chords[0].Span, "Cut the page in two, or repeat less.", fmt.Sprintf("With its repeats written out the page has more than %d chords.", p.limits.Notes))
	}
	out.Pickup = p.grid.pickup
	out.Bars = out.lines
	if p.grid.known() {
		out.Bar, out.Bars = p.grid.bar, barsOf(p.grid, out.Metres, out.Beats)
	} else {
		out.trimBars()
	}
	return out.Piece
}

// step plays one step.
func (o *walker) step(s step) {
	if s.loop == nil {
		o.item(s.it)
		return
	}
	for round := range s.loop.times {
		o.repeatSign(s.loop)
		o.steps(s.loop.body)
		if round < len(s.loop.endings) {
			o.steps(s.loop.endings[round])
		}
	}
	if len(s.loop.endings) == 0 {
		o.repeatSign(s.loop)
	}
}

// steps plays some steps.
func (o *walker) steps(steps []step) {
	for _, s := range steps {
		o.step(s)
	}
}

// repeatSign passes an end of a loop, where a phrase ends.
func (o *walker) repeatSign(l *loop) {
	o.newPhrase = true
	if l.bars {
		o.barLine()
	}
}

// barLine notes where a bar begins.
func (o *walker) barLine() { o.lines = append(o.lines, o.Beats) }

// item plays one item.
func (o *walker) item(it *item) {
	switch it.Kind {
	case scan.Bar:
		o.barLine()
	case scan.Comma:
		o.newPhrase, o.breath = true, true
	case scan.Hold:
		o.hold(it)
	case scan.Note, scan.Rest, scan.Junk:
		if it.beats.Sign() == 0 && it.Note == nil { // cannot be read, and was not counted
			return
		}
		o.meter(it.Line)
		o.enter(it)
		o.changes(it)
		if gap := it.gap(); gap.Sign() > 0 {
			o.event(tree.Event{Span: diag.Span{Start: it.Span.Start, End: it.Span.Start}, Line: it.typedOn(), Role: tree.Melody}, gap)
		}
		o.sound(it)
	}
}

// typedOn is the line an item was typed on, which may be the one below its row.
func (it *item) typedOn() int {
	if it.Below {
		return it.Line + 1
	}
	return it.Line
}

// enter moves the playing to the line of an item.
func (o *walker) enter(it *item) {
	if o.line == it.Line {
		return
	}
	if o.line != 0 {
		o.Marks = append(o.Marks, tree.Mark{Line: o.line, At: o.Beats, Leave: true})
	}
	o.Marks = append(o.Marks, tree.Mark{Line: it.Line, At: o.Beats})
	o.line, o.newPhrase = it.Line, true
}

// sound plays a note or a rest. A number that is not a hole is silent.
func (o *walker) sound(it *item) {
	e := tree.Event{Note: it.Note, Span: it.Span, Line: it.typedOn(), Role: it.Role, Swung: it.swung}
	if it.Role != tree.Grace {
		o.event(e, it.beats)
		return
	}
	if it.Kind == scan.Note && it.Note != nil {
		o.event(e, beat.Time{})
	}
}

// event adds an event and moves on past it. Grace notes move with the note
// they lead to where swing moves it.
func (o *walker) event(e tree.Event, beats beat.Time) {
	e.Start, e.Beats = o.Beats, beats
	e.NewPhrase, e.Breath = o.newPhrase, o.breath
	o.newPhrase, o.breath = e.Note == nil, false
	o.Events = append(o.Events, e)
	if e.Role == tree.Grace {
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
func (o *walker) hold(it *item) {
	if it.beats.Sign() == 0 {
		return
	}
	o.enter(it)
	o.changes(it)
	if o.held < 0 {
		o.event(tree.Event{Span: it.Span, Line: it.Line, Role: tree.Melody}, it.beats)
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
func (o *walker) trimBars() {
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

// barsOf is the bars of a metre, counted from the pick-up, and of those it changes
// to. A change begins a bar.
func barsOf(g grid, changes []tree.MetreChange, beats beat.Time) []beat.Time {
	var bars []beat.Time
	full := g.bar
	for at := g.pickup; at.Less(beats); {
		for len(changes) > 0 && !at.Less(changes[0].At) {
			full, changes = beat.Whole(changes[0].Metre.Beats), changes[1:]
		}
		bars = append(bars, at)
		if at = at.Plus(full); len(changes) > 0 {
			at = beat.Min(at, changes[0].At)
		}
	}
	return bars
}

// metresOfLines is the metre in force on each line of tab; nil where it never
// changes.
func (p *page) metresOfLines() map[int]tree.Metre {
	if !p.changing {
		return nil
	}
	out := map[int]tree.Metre{}
	for _, r := range p.rows {
		out[r.Line.Number] = r.metre
	}
	return out
}

// meter notes where the playing comes to a line of another metre.
func (o *walker) meter(line int) {
	if metre, known := o.metres[line]; known && metre != o.metre {
		o.metre = metre
		o.Metres = append(o.Metres, tree.MetreChange{At: o.Beats, Metre: metre})
	}
}
