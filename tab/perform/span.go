package perform

import (
	"math"
	"math/big"
	"slices"

	"reedlark/tab"
	"reedlark/tab/diag"
)

// chooseSpan finds the beats between which notes begin that are played.
func (p *player) chooseSpan() {
	p.from, p.to = new(big.Rat), p.piece.Beats
	first := -1
	if b := p.set.From; b != nil {
		p.from, first = p.start(*b)
	}
	if b := p.set.To; b != nil {
		p.to = p.end(*b, first)
	}
	if p.from == nil || p.to == nil {
		return
	}
	if p.to.Cmp(p.piece.Beats) > 0 {
		p.to = p.piece.Beats
	}
	p.checkSpan()
}

// start is the beat at which playing starts, and the mark it was found at, -1
// for none. The beat is nil, and a problem told, where there is no such line.
func (p *player) start(b Bound) (*big.Rat, int) {
	if b.Line == 0 {
		return p.nearest(b.Beat), -1
	}
	for i, m := range p.piece.Marks {
		if m.Line == b.Line && !m.Leave {
			return m.At, i
		}
	}
	return p.noLine(b.Line), -1
}

// end is the beat at which playing stops: of a line, the first end of it after
// the start.
func (p *player) end(b Bound, first int) *big.Rat {
	if b.Line == 0 {
		return p.nearest(b.Beat)
	}
	known := false
	for i, m := range p.piece.Marks {
		if m.Line != b.Line || !m.Leave {
			continue
		}
		known = true
		if i > first && (p.from == nil || m.At.Cmp(p.from) > 0) {
			return m.At
		}
	}
	if known {
		return p.from // nothing of the line is left after the start
	}
	return p.noLine(b.Line)
}

func (p *player) noLine(line int) *big.Rat {
	p.problems.Add(diag.Error, diag.RangeEmpty, diag.Span{}, "", "Line %d is no line of tab, so nothing can be played from it or to it.", line)
	return nil
}

// nearest turns a beat with the few digits of a decimal number into the beat of
// the piece it means: 1.333333 is a third.
func (p *player) nearest(beat float64) *big.Rat {
	if math.IsNaN(beat) || math.IsInf(beat, 0) {
		return p.piece.Beats
	}
	x := new(big.Rat).SetFloat64(beat)
	for _, e := range p.piece.Events {
		if at, _ := e.Start.Float64(); math.Abs(at-beat) < 1e-5 {
			return e.Start
		}
	}
	return x
}

// checkSpan refuses an empty part and warns of a silent one.
func (p *player) checkSpan() {
	if p.from.Cmp(p.to) >= 0 {
		total, _ := p.piece.Beats.Float64()
		p.problems.Add(diag.Error, diag.RangeEmpty, diag.Span{}, "",
			"Nothing lies between the beginning and the end of the part to be played; the piece has %.4g beats.", total)
		return
	}
	if events := p.inSpan(); playable(events) == 0 && !p.accompanied() {
		p.problems.Add(diag.Warning, diag.RangeSilent, placeOf(events), "", "No note begins in this part, so it is silent.")
	}
}

// inSpan lists the events that begin in the part that is played.
func (p *player) inSpan() []tab.Event {
	events := p.piece.Events
	begins := func(e tab.Event, at *big.Rat) int { return e.Start.Cmp(at) }
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
func (p *player) beats() *big.Rat {
	one := new(big.Rat).Sub(p.to, p.from)
	return one.Mul(one, big.NewRat(int64(p.set.Repeat), 1))
}
