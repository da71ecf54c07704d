package perform

import (
	"slices"

	"reedlark/tab"
	"reedlark/tab/beat"
)

// clock turns beats of the piece into seconds from the first beat played.
// Every time is reckoned from there in exact numbers and rounded once.
type clock struct {
	swung  []beat.Time // where the beats start that swing divides, ascending
	late   beat.Time   // how much later than written the half of a swung beat comes
	tempo  float64     // beats a minute
	start  beat.Time   // the first beat played, as swung
	round  beat.Time   // beats in one round, as swung
	rounds int
}

var (
	oneBeat = beat.Whole(1)
	half    = oneBeat.Over(2)
)

func newClock(piece *tab.Piece, from, to beat.Time, s Settings) *clock {
	c := &clock{late: beat.FromFloat(s.Swing).Minus(half), tempo: s.Tempo, rounds: s.Repeat}
	if c.late.Sign() != 0 {
		c.swung = swungBeats(piece)
	}
	c.start = c.swing(from)
	c.round = c.swing(to).Minus(c.start)
	return c
}

// swungBeats finds the beats in whose middle something starts that swings.
func swungBeats(piece *tab.Piece) []beat.Time {
	var beats []beat.Time
	for i := range piece.Events {
		if e := &piece.Events[i]; e.Swung {
			beats = append(beats, e.Start.Minus(half))
		}
	}
	return beats
}

// swing moves a moment inside a swung beat: the first half of the beat is
// stretched, the second squeezed, and the beat keeps its length.
func (c *clock) swing(x beat.Time) beat.Time {
	i, found := slices.BinarySearchFunc(c.swung, x, beat.Time.Cmp)
	if found || i == 0 {
		return x
	}
	return x.Plus(c.push(x.Minus(c.swung[i-1])))
}

// push is how much later than written a moment so far into a swung beat comes:
// its half the most, and what lies nearer to its ends less. After it, none.
func (c *clock) push(into beat.Time) beat.Time {
	near := beat.Min(into, oneBeat.Minus(into))
	if near.Sign() <= 0 {
		return beat.Time{}
	}
	return near.Times(2 * int(c.late.Num())).Over(int(c.late.Denom()))
}

// shift is what lies between a beat of the piece and its place in a round
// counted from 0, beats as swung from the first beat played.
func (c *clock) shift(round int) beat.Time { return c.round.Times(round).Minus(c.start) }

// at is the time of a beat of the piece in the round of that shift.
func (c *clock) at(shift, at beat.Time) float64 { return c.plain(shift.Plus(c.swing(at))) }

// plain is how long a number of beats lasts.
func (c *clock) plain(beats beat.Time) float64 {
	return 60 * float64(beats.Num()) / (float64(beats.Denom()) * c.tempo)
}

// total is how long all rounds last.
func (c *clock) total() float64 { return c.plain(c.round.Times(c.rounds)) }
