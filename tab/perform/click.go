package perform

import (
	"reedlark/tab/beat"
	"reedlark/tab/score"
)

// countBeats is how many beats are counted before the first round: whole bars,
// less what the first of them takes when the playing starts inside a bar.
func (p *player) countBeats() beat.Time {
	bars := p.grid
	count := bars.length.Times(p.set.CountIn)
	into := bars.into(p.from)
	if p.set.CountIn == 0 || !bars.known || into.Sign() == 0 {
		return count
	}
	return count.Minus(bars.length.Minus(into))
}

// clicks are the count-in, which starts after the lead-in, and the metronome,
// which starts with the first beat played at zero seconds.
func (p *player) clicks(c *clock, lead, zero float64) []score.Click {
	clicks := p.countIn(c, lead)
	if !p.set.Click {
		return clicks
	}
	bars := p.grid
	for round := range p.set.Repeat {
		shift := c.shift(round)
		for at := bars.first(p.from); at.Less(p.to); at = bars.next(at) {
			clicks = append(clicks, score.Click{
				Start:  zero + c.at(shift, at),
				Accent: bars.known && bars.into(at).Sign() == 0,
			})
		}
	}
	return clicks
}

// countIn is one click a beat, each bar's first accented.
func (p *player) countIn(c *clock, lead float64) []score.Click {
	var clicks []score.Click
	end := p.countBeats()
	for at := (beat.Time{}); at.Less(end); at = at.Plus(oneBeat) {
		clicks = append(clicks, score.Click{Start: lead + c.plain(at), Accent: at.Mod(p.grid.length).Sign() == 0})
	}
	return clicks
}
