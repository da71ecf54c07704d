package perform

import (
	"math/big"
	"slices"

	"reedlark/tab"
)

// clock turns beats of the piece into seconds from the first beat played.
// Every time is reckoned from there in exact numbers and rounded once.
type clock struct {
	swung   []*big.Rat // where the beats start that swing divides, ascending
	long    *big.Rat   // the share of a swung beat that its first half gets
	seconds *big.Rat   // of one beat
	start   *big.Rat   // the first beat played, as swung
	round   *big.Rat   // beats in one round, as swung
	rounds  int
}

var half = big.NewRat(1, 2)

func newClock(piece *tab.Piece, from, to *big.Rat, s Settings) *clock {
	c := &clock{
		long:    exact(s.Swing),
		seconds: new(big.Rat).Quo(big.NewRat(60, 1), exact(s.Tempo)),
		rounds:  s.Repeat,
	}
	if c.long.Cmp(half) != 0 {
		c.swung = swungBeats(piece)
	}
	c.start = c.swing(from)
	c.round = new(big.Rat).Sub(c.swing(to), c.start)
	return c
}

// exact is a finite number as a fraction, bit for bit.
func exact(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }

// swungBeats finds the beats in whose middle something starts that swings.
func swungBeats(piece *tab.Piece) []*big.Rat {
	var beats []*big.Rat
	for _, e := range piece.Events {
		if e.Swung {
			beats = append(beats, new(big.Rat).Sub(e.Start, half))
		}
	}
	return beats
}

// swing moves a moment inside a swung beat: the first half of the beat is
// stretched, the second squeezed, and the beat keeps its length.
func (c *clock) swing(x *big.Rat) *big.Rat {
	i, found := slices.BinarySearchFunc(c.swung, x, (*big.Rat).Cmp)
	if found || i == 0 {
		return x
	}
	into := new(big.Rat).Sub(x, c.swung[i-1])
	if into.Cmp(big.NewRat(1, 1)) >= 0 {
		return x
	}
	return new(big.Rat).Add(c.swung[i-1], c.share(into))
}

// share maps the way into a beat, 0 to 1, so that its half comes to lie at long.
func (c *clock) share(into *big.Rat) *big.Rat {
	double := big.NewRat(2, 1)
	if into.Cmp(half) <= 0 {
		return double.Mul(double, into).Mul(double, c.long)
	}
	rest := new(big.Rat).Sub(big.NewRat(1, 1), into)
	short := new(big.Rat).Sub(big.NewRat(1, 1), c.long)
	rest = double.Mul(double, rest).Mul(double, short)
	return rest.Sub(big.NewRat(1, 1), rest)
}

// shift is what lies between a beat of the piece and its place in a round
// counted from 0, beats as swung from the first beat played.
func (c *clock) shift(round int) *big.Rat {
	x := new(big.Rat).SetInt64(int64(round))
	return x.Mul(x, c.round).Sub(x, c.start)
}

// at is the time of a beat of the piece in the round of that shift.
func (c *clock) at(shift, beat *big.Rat) float64 {
	return c.plain(new(big.Rat).Add(shift, c.swing(beat)))
}

// plain is how long a number of beats lasts.
func (c *clock) plain(beats *big.Rat) float64 {
	s, _ := new(big.Rat).Mul(beats, c.seconds).Float64()
	return s
}

// total is how long all rounds last.
func (c *clock) total() float64 {
	return c.plain(new(big.Rat).Mul(c.round, big.NewRat(int64(c.rounds), 1)))
}
