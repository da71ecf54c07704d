package perform

import (
	"math/big"
	"slices"

	"reedlark/tab"
)

// usualBar is the beats of a bar where nothing on the page says.
const usualBar = 4

// bars knows where beat one is.
type bars struct {
	starts []*big.Rat // ascending, never empty
	length *big.Rat   // of a whole bar
	known  bool       // the page or the caller says so
	metred bool       // by a metre
}

// bars finds the bars of the piece.
func (p *player) bars() bars {
	b := bars{starts: p.piece.Bars, length: big.NewRat(usualBar, 1), known: p.doc.Metre.Beats > 0 || len(p.piece.Bars) > 0}
	switch {
	case p.doc.Metre.Beats > 0:
		b.metred = true
		b.length = big.NewRat(int64(p.doc.Metre.Beats), 1)
	case len(b.starts) > 1:
		b.length = new(big.Rat).Sub(b.starts[1], b.starts[0])
	}
	if len(b.starts) == 0 {
		b.starts = []*big.Rat{p.pickup()}
	}
	return b
}

// pickup is the beats before the first whole bar.
func (p *player) pickup() *big.Rat {
	if p.piece.Pickup == nil {
		return new(big.Rat)
	}
	return p.piece.Pickup
}

// bar is the start of the bar that a beat lies in; the first bar for what comes
// before it.
func (b bars) bar(beat *big.Rat) *big.Rat {
	i, found := slices.BinarySearchFunc(b.starts, beat, (*big.Rat).Cmp)
	if !found {
		i = max(0, i-1)
	}
	return b.starts[i]
}

// beats is how many beats the bar has that a beat lies in: as many as the metre
// says or, without one, as are written.
func (b bars) beats(beat *big.Rat) int {
	length := b.length
	i, found := slices.BinarySearchFunc(b.starts, beat, (*big.Rat).Cmp)
	if found {
		i++
	}
	if !b.metred && i > 0 && i < len(b.starts) {
		length = new(big.Rat).Sub(b.starts[i], b.starts[i-1])
	}
	whole := floor(new(big.Rat).Neg(length)) // -ceiling
	return int(-whole.Int64())
}

// into is how far into its bar a beat lies, from 0 up to a bar's length.
func (b bars) into(beat *big.Rat) *big.Rat {
	x := new(big.Rat).Sub(beat, b.bar(beat))
	if x.Sign() >= 0 && x.Cmp(b.length) < 0 {
		return x
	}
	whole := new(big.Rat).SetInt(floor(new(big.Rat).Quo(x, b.length)))
	return x.Sub(x, whole.Mul(whole, b.length))
}

// floor is the greatest whole number that is not above x.
func floor(x *big.Rat) *big.Int { return new(big.Int).Div(x.Num(), x.Denom()) }

// accent is how much harder an event is blown: most on beat one, a little on
// every beat.
func (b bars) accent(e tab.Event) float64 {
	into := b.into(e.Start)
	switch {
	case b.known && into.Sign() == 0:
		return barAccent
	case into.IsInt():
		return beatAccent
	default:
		return 0
	}
}

// next is the first beat after a beat: a step on, or where the next bar starts.
func (b bars) next(beat *big.Rat) *big.Rat {
	return b.sooner(beat, new(big.Rat).Add(beat, big.NewRat(1, 1)))
}

// first is the first beat from a moment on.
func (b bars) first(from *big.Rat) *big.Rat {
	if b.into(from).Sign() == 0 {
		return from
	}
	steps := new(big.Rat).Sub(b.bar(from), from)
	steps.SetInt(floor(steps))
	return b.sooner(from, steps.Sub(b.bar(from), steps))
}

// sooner is the start of a bar between two moments, else the later moment.
func (b bars) sooner(from, to *big.Rat) *big.Rat {
	if start := b.bar(to); start.Cmp(from) > 0 && start.Cmp(to) < 0 {
		return start
	}
	return to
}
