package perform

import (
	"math/big"

	"reedlark/tab/score"
)

// countBeats is how many beats are counted before the first round: whole bars,
// less what the first of them takes when the playing starts inside a bar.
func (p *player) countBeats() *big.Rat {
	bars := p.grid
	count := big.NewRat(int64(p.set.CountIn), 1)
	count.Mul(count, bars.length)
	into := bars.into(p.from)
	if p.set.CountIn == 0 || !bars.known || into.Sign() == 0 {
		return count
	}
	return count.Sub(count, new(big.Rat).Sub(bars.length, into))
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
		for beat := bars.first(p.from); beat.Cmp(p.to) < 0; beat = bars.next(beat) {
			clicks = append(clicks, score.Click{
				Start:  zero + c.at(shift, beat),
				Accent: bars.known && bars.into(beat).Sign() == 0,
			})
		}
	}
	return clicks
}

// countIn is one click a beat, each bar's first accented.
func (p *player) countIn(c *clock, lead float64) []score.Click {
	var clicks []score.Click
	one, length := big.NewRat(1, 1), p.grid.length
	in := bars{starts: []*big.Rat{new(big.Rat)}, length: length}
	end := p.countBeats()
	for beat := new(big.Rat); beat.Cmp(end) < 0; beat = new(big.Rat).Add(beat, one) {
		clicks = append(clicks, score.Click{Start: lead + c.plain(beat), Accent: in.into(beat).Sign() == 0})
	}
	return clicks
}
