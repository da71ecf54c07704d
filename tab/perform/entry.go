package perform

import (
	"reedlark/tab/beat"
	"reedlark/tab/score"
)

// entries is when the playing enters each line, over all rounds. A part that
// begins inside a line begins with that line.
func (p *player) entries(c *clock, zero float64) []score.Entry {
	once := p.enteredOnce()
	out := make([]score.Entry, 0, len(once)*p.set.Repeat)
	for round := range p.set.Repeat {
		shift := c.shift(round)
		for _, e := range once {
			out = append(out, score.Entry{Line: e.line, Start: zero + c.at(shift, e.at)})
		}
	}
	return out
}

type entered struct {
	line int
	at   beat.Time // beats of the piece
}

// enteredOnce is the same for one round.
func (p *player) enteredOnce() (out []entered) {
	before := 0 // the line that is being played where the part begins
	for _, m := range p.piece.Marks {
		switch {
		case m.Leave || !m.At.Less(p.to):
		case m.At.Less(p.from):
			before = m.Line
		default:
			out = append(out, entered{m.Line, m.At})
		}
	}
	inside := len(out) == 0 || p.from.Less(out[0].at)
	if before > 0 && inside {
		out = append([]entered{{before, p.from}}, out...)
	}
	return out
}
