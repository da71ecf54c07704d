package rhythm

import (
	"errors"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// piece is the part of an item that lies within one beat, or a bar line.
type piece struct {
	beats beat.Time
	atom  int  // in row.atoms; -1 for a new rest
	held  bool // it goes on with what came before
	rest  bool // a new rest begins
	bar   diag.Span
	isBar bool
}

// errDivided says that braces cannot write a row: a beat of it is cut by a bar line
// or by the end of the row.
var errDivided = errors.New("a beat is divided")

// cutter cuts items at the beats.
type cutter struct {
	at  beat.Time
	out []piece
}

// add goes on by some beats, with a piece for each beat; all but the first are held.
func (c *cutter) add(beats beat.Time, p piece) {
	for beats.Sign() > 0 {
		p.beats = beat.Min(beats, beat.Whole(c.at.Floor()+1).Minus(c.at))
		c.out = append(c.out, p)
		c.at, beats = c.at.Plus(p.beats), beats.Minus(p.beats)
		p.held, p.rest = true, false
	}
}

// pieces cuts the items of a row at the beats and at its bar lines.
func (l *line) pieces(bar beat.Time) []piece {
	c := &cutter{at: beat.Whole(l.start.Floor())}
	if l.tied.Sign() > 0 {
		c.add(l.tied, piece{atom: -1, held: true})
	} else {
		c.add(l.start.Minus(c.at), piece{atom: -1, rest: true})
	}
	phase := l.phase(bar)
	for i, it := range l.items {
		p, left := piece{atom: it.atom, rest: it.atom < 0}, it.beats
		if i+1 == len(l.items) {
			left = left.Minus(l.lean)
		}
		for _, span := range l.linesAfter(i) {
			upTo := left
			if bar.Sign() > 0 && !l.repeats[span] {
				upTo = beat.Min(left, bar.Minus(c.at.Minus(phase).Mod(bar)))
			}
			c.add(upTo, p)
			left = left.Minus(upTo)
			p.held, p.rest = true, false
			c.out = append(c.out, piece{isBar: true, bar: span})
		}
		c.add(left, p)
	}
	return c.out
}

// phase is where in the row bars begin, if one goes by its bar lines: the place, in
// beats, at which most of them can stand. A note held over a bar line has it within.
func (l *line) phase(bar beat.Time) (best beat.Time) {
	most := -1
	for k := range bar.Floor() {
		fit, at := 0, l.start
		for i, it := range l.items {
			at = at.Plus(it.beats)
			left := at.Minus(beat.Whole(k)).Mod(bar)
			if len(l.linesAfter(i)) == 0 {
				continue
			}
			switch {
			case left.Sign() == 0:
				fit += 3
			case left.Less(it.beats):
				fit += 2
			}
		}
		if fit > most {
			most, best = fit, beat.Whole(k)
		}
	}
	return best
}

// linesAfter are the bar lines between an item and the one behind it.
func (l *line) linesAfter(i int) []diag.Span {
	atom := l.items[i].atom
	if atom < 0 {
		atom = l.items[i-1].atom
	} else if i+1 < len(l.items) && l.items[i+1].atom < 0 {
		return nil // they come behind the new rest
	}
	from, to := l.atoms[atom].span.End, l.span.End
	if atom+1 < len(l.atoms) {
		to = l.atoms[atom+1].lead
	}
	var out []diag.Span
	for _, b := range l.bars {
		if b.Start >= from && b.End <= to {
			out = append(out, b)
		}
	}
	return out
}

// byBeat puts the pieces of one beat together. A piece alone in its group lasts a
// whole beat, or is a bar line.
func byBeat(all []piece) (groups [][]piece, err error) {
	begin, sum := 0, beat.Time{}
	for i, p := range all {
		if p.isBar && i > begin {
			return nil, errDivided
		}
		sum = sum.Plus(p.beats)
		if p.isBar || sum == beat.Whole(1) {
			groups = append(groups, all[begin:i+1])
			begin, sum = i+1, beat.Time{}
		}
	}
	if begin < len(all) {
		return nil, errDivided
	}
	return groups, nil
}

// weights are the shares of the pieces of a beat, in the smallest whole numbers.
func weights(group []piece) []int {
	shares := int64(1)
	for _, p := range group {
		shares = lcm(shares, p.beats.Denom())
	}
	out := make([]int, len(group))
	for i, p := range group {
		out[i] = p.beats.Times(int(shares)).Floor()
	}
	return out
}

func lcm(a, b int64) int64 {
	x, y := a, b
	for y != 0 {
		x, y = y, x%y
	}
	return a / x * b
}
