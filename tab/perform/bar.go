package perform

import (
	"slices"

	"reedlark/tab"
	"reedlark/tab/beat"
)

// usualBar is the beats of a bar where nothing on the page says.
const usualBar = 4

// bars knows where beat one is.
type bars struct {
	starts []beat.Time // ascending, never empty
	length beat.Time   // of a whole bar
	known  bool        // the page or the caller says so
	metred bool        // by a metre
}

// bars finds the bars of the piece.
func (p *player) bars() bars {
	b := bars{starts: p.piece.Bars, length: beat.Whole(usualBar), known: p.doc.Metre.Beats > 0 || len(p.piece.Bars) > 0}
	switch {
	case p.doc.Metre.Beats > 0:
		b.metred = true
		b.length = beat.Whole(p.doc.Metre.Beats)
	case p.piece.Bar.Sign() > 0:
		b.length = p.piece.Bar
	case len(b.starts) > 1:
		b.length = usual(b.starts, p.piece.Beats)
		if b.starts[1].Minus(b.starts[0]).Less(b.length) { // a pick-up
			b.starts = b.starts[1:]
		}
	}
	if len(b.starts) == 0 {
		b.starts = []beat.Time{p.piece.Pickup}
	}
	return b
}

// usual is the length of most bars; of lengths that are as frequent, the greatest.
func usual(starts []beat.Time, end beat.Time) beat.Time {
	lengths := make([]beat.Time, len(starts))
	for i, start := range starts[1:] {
		lengths[i] = start.Minus(starts[i])
	}
	lengths[len(starts)-1] = end.Minus(starts[len(starts)-1])
	slices.SortFunc(lengths, beat.Time.Cmp)
	best, most, run := lengths[0], 0, 0
	for i, length := range lengths {
		if i > 0 && lengths[i-1].Less(length) {
			run = 0
		}
		if run++; run >= most {
			best, most = length, run
		}
	}
	return best
}

// bar is the start of the bar that a beat lies in; the first bar for what comes
// before it.
func (b bars) bar(at beat.Time) beat.Time {
	i, found := slices.BinarySearchFunc(b.starts, at, beat.Time.Cmp)
	if !found {
		i = max(0, i-1)
	}
	return b.starts[i]
}

// beats is how many beats the bar has that a beat lies in: as many as the metre
// says or, without one, as are written.
func (b bars) beats(at beat.Time) int {
	length := b.length
	i, found := slices.BinarySearchFunc(b.starts, at, beat.Time.Cmp)
	if found {
		i++
	}
	if !b.metred && i > 0 && i < len(b.starts) {
		length = b.starts[i].Minus(b.starts[i-1])
	}
	return length.Ceil()
}

// into is how far into its bar a beat lies, from 0 up to a bar's length.
func (b bars) into(at beat.Time) beat.Time { return at.Minus(b.bar(at)).Mod(b.length) }

// accent is how much harder an event is blown: most on beat one, a little on
// every beat.
func (b bars) accent(e *tab.Event) float64 {
	into := b.into(e.Start)
	switch {
	case b.known && into.Sign() == 0:
		return barAccent
	case into.IsWhole():
		return beatAccent
	default:
		return 0
	}
}

// next is the first beat after a beat: a step on, or where the next bar starts.
func (b bars) next(at beat.Time) beat.Time { return b.sooner(at, at.Plus(oneBeat)) }

// first is the first beat from a moment on.
func (b bars) first(from beat.Time) beat.Time {
	if b.into(from).Sign() == 0 {
		return from
	}
	steps := beat.Whole(b.bar(from).Minus(from).Floor())
	return b.sooner(from, b.bar(from).Minus(steps))
}

// sooner is the start of a bar between two moments, else the later moment.
func (b bars) sooner(from, to beat.Time) beat.Time {
	if start := b.bar(to); from.Less(start) && start.Less(to) {
		return start
	}
	return to
}
