package tab

import (
	"math/big"

	"reedlark/tab/diag"
)

// wholeBeat is what a note lasts that nothing makes longer or shorter. Lengths
// are shared between items and events, and never changed in place.
func wholeBeat() *big.Rat { return whole(1) }

// whole is a whole number of beats.
func whole(n int) *big.Rat { return new(big.Rat).SetInt64(int64(n)) }

// plus is the sum of two lengths, by the short way where both are whole.
func plus(x, y *big.Rat) *big.Rat {
	if x.IsInt() && y.IsInt() && x.Num().IsInt64() && y.Num().IsInt64() {
		return new(big.Rat).SetInt64(x.Num().Int64() + y.Num().Int64())
	}
	return new(big.Rat).Add(x, y)
}

// floor is the largest whole number that is not above x.
func floor(x *big.Rat) *big.Int { return new(big.Int).Div(x.Num(), x.Denom()) }

// checkLengths reports notes held for longer than anyone can blow.
func (p *page) checkLengths() {
	limit := whole(p.limits.NoteBeats)
	var note *item
	var sum *big.Rat
	for _, r := range p.rows {
		for i := range r.items {
			it := &r.items[i]
			switch {
			case it.sounding():
				note, sum = it, it.beats
			case it.beats == nil || note == nil:
				continue
			default:
				sum = plus(sum, it.beats)
			}
			if longer(sum, limit) {
				p.add(diag.Error, diag.NoteTooLong, note.span, "Hold it for less.", "A note lasts "+limit.RatString()+" beats at most.")
				note = nil
			}
		}
	}
}

// longer compares two lengths, by the short way where both are whole.
func longer(x, y *big.Rat) bool {
	if x.IsInt() && y.IsInt() {
		return x.Num().Cmp(y.Num()) > 0
	}
	return x.Cmp(y) > 0
}
