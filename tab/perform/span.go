package perform

import (
	"math"
	"slices"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// chooseSpan finds the beats between which notes begin that are played.
func (p *player) chooseSpan() {
	p.to = p.piece.Beats
	first, begins, ends := -1, true, true
	if b := p.set.From; b != nil {
		p.from, first, begins = p.start(*b)
	}
	if b := p.set.To; b != nil {
		p.to, ends = p.end(*b, first)
	}
	if begins && ends {
		p.to = beat.Min(p.to, p.piece.Beats)
		p.checkSpan()
	}
}

// start is the beat at which playing starts, and the mark it was found at, -1
// for none; false, and a problem told, where there is no such line.
func (p *player) start(b Bound) (beat.Time, int, bool) {
	if b.Line == 0 {
		return p.nearest(b.Beat), -1, true
	}
	for i, m := range p.piece.Marks {
		if m.Line == b.Line && !m.Leave {
			return m.At, i, true
		}
	}
	p.noLine(b.Line)
	return beat.Time{}, -1, false
}

// end is the beat at which playing stops: of a line, the first end of it after
// the start or, where nothing of it is left after that, the start; false, and a
// problem told, where there is no such line.
func (p *player) end(b Bound, first int) (beat.Time, bool) {
	if b.Line == 0 {
		return p.nearest(b.Beat), true
	}
	known := false
	for i, m := range p.piece.Marks {
		if m.Line != b.Line || !m.Leave {
			continue
		}
		known = true
		if i > first && p.from.Less(m.At) {
			return m.At, true
		}
	}
	if !known {
		p.noLine(b.Line)
	}
	return p.from, known
}

func (p *player) noLine(line int) {
	p.problems.Add(diag.Error, diag.RangeEmpty, diag.Span{}, "", "Line %d is no line of tab, so nothing can be played from it or to it.", line)
}

// nearest turns a beat with the few digits of a decimal number into the beat of
// the piece it means: 1.333333 is a third. Where nothing begins or ends it is a
// millionth of a beat, so that no part is too short to have a length in seconds.
func (p *player) nearest(x float64) beat.Time {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return p.piece.Beats
	}
	means := func(b beat.Time) bool { return math.Abs(b.Float()-x) < 1e-5 }
	for i := range p.piece.Events {
		if start := p.piece.Events[i].Start; means(start) {
			return start
		}
	}
	if means(p.piece.Beats) {
		return p.piece.Beats
	}
	return beat.FromFloat(math.Round(x*1e6) / 1e6)
}

// checkSpan refuses an empty part and warns of a silent one.
func (p *player) checkSpan() {
	if !p.from.Less(p.to) {
		p.problems.Add(diag.Error, diag.RangeEmpty, diag.Span{}, "",
			"Nothing lies between the beginning and the end of the part to be played; the piece has %.4g beats.", p.piece.Beats.Float())
		return
	}
	heard := func(e tab.Event) bool { return e.Note != nil && !p.leftOut(&e) }
	if events := p.inSpan(); !slices.ContainsFunc(events, heard) && !p.accompanied() {
		p.problems.Add(diag.Warning, diag.RangeSilent, placeOf(events), "", "No note begins in this part, so it is silent.")
	}
}

// inSpan lists the events that begin in the part that is played.
func (p *player) inSpan() []tab.Event {
	events := p.piece.Events
	begins := func(e tab.Event, at beat.Time) int { return e.Start.Cmp(at) }
	first, _ := slices.BinarySearchFunc(events, p.from, begins)
	end, _ := slices.BinarySearchFunc(events, p.to, begins)
	return events[first:end]
}

// playable counts the notes among events.
func playable(events []tab.Event) (n int) {
	for _, e := range events {
		if e.Note != nil {
			n++
		}
	}
	return n
}

// placeOf is where the first of the events stands.
func placeOf(events []tab.Event) diag.Span {
	if len(events) == 0 {
		return diag.Span{}
	}
	return events[0].Span
}

// beats is how many are played over all rounds.
func (p *player) beats() beat.Time { return p.to.Minus(p.from).Times(p.set.Repeat) }
