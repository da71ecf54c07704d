package perform

import (
	"iter"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/score"
)

// step is a note of the page in the time of one round. Rests are no steps: they
// are the time between.
type step struct {
	note  *tab.Note
	line  int // from 1
	role  score.Role
	start beat.Time // beats, as written
	beats beat.Time // what is left of them where the part ends
	at    float64   // seconds from the first beat played
	end   float64
	// fresh says that a breath is taken before it.
	fresh bool
	// slide is the arrow that leads to the next step; nil for none.
	slide  *diag.Span
	accent float64 // dB
}

// isGrace says that the step has no time of its own.
func (s step) isGrace() bool { return s.role == score.Grace }

// leadsTo says that the step is a grace of the next.
func (s step) leadsTo(next step) bool { return s.isGrace() && s.at == next.at }

// groups are the steps of the part, each note with its graces. A group is gone
// when the next one comes.
func (p *player) groups(c *clock) iter.Seq[[]step] {
	return func(yield func([]step) bool) {
		var group []step
		for s := range p.steps(c) {
			if n := len(group); n > 0 && !group[n-1].leadsTo(s) {
				if !yield(group) {
					return
				}
				group = group[:0]
			}
			group = append(group, s)
		}
		if len(group) > 0 {
			yield(group)
		}
	}
}

// steps writes the part out over all rounds.
func (p *player) steps(c *clock) iter.Seq[step] {
	return func(yield func(step) bool) {
		for round := range p.set.Repeat {
			if !p.round(c, round, yield) {
				return
			}
		}
	}
}

// round yields the steps of one round; false where no more are wanted.
func (p *player) round(c *clock, round int, yield func(step) bool) bool {
	events, shift := p.inSpan(), c.shift(round)
	fresh := true
	for i := range events {
		e := &events[i]
		fresh = fresh || e.NewPhrase || e.Breath
		if e.Note == nil || p.leftOut(e) {
			continue
		}
		s := step{
			note: e.Note, line: e.Line, role: score.Role(e.Role.String()), start: e.Start, beats: p.cut(e), fresh: fresh,
			slide: p.slideFrom(events[i:]), accent: p.grid.accent(e),
		}
		s.at, s.end = c.at(shift, s.start), c.at(shift, s.start.Plus(s.beats))
		if !yield(s) {
			return false
		}
		fresh = false
	}
	return true
}

// leftOut says that an event is not played because brackets are skipped.
func (p *player) leftOut(e *tab.Event) bool {
	return p.set.Brackets == Skip && (e.Role == tab.Grace || e.Role == tab.Filler)
}

// cut is an event's beats up to the end of the part.
func (p *player) cut(e *tab.Event) beat.Time { return beat.Min(e.Beats, p.to.Minus(e.Start)) }

// slideFrom is the arrow by which the first event slides on to the next one
// that is played. Without a landing there is nothing to slide to: where the
// part ends, or where filler is left out. A grace that is left out is passed over.
func (p *player) slideFrom(events []tab.Event) *diag.Span {
	arrow := events[0].Note.SlideTo
	if arrow == nil {
		return nil
	}
	for i := range events[1:] {
		e := &events[1+i]
		if e.Note == nil || p.leftOut(e) && e.Role == tab.Filler {
			return nil
		}
		if !p.leftOut(e) {
			return arrow
		}
	}
	return nil
}
