package midi

import (
	"fmt"
	"math"
	"sort"
	"strconv"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// divisions are the equal parts of a quarter that onsets and ends are looked for on,
// the coarser first.
var divisions = []int{1, 2, 3, 4, 6, 8, 5, 12, 16, 7, 24}

// near is how far from its place an onset may lie, in quarters: what rounding to
// ticks and the hand of a good player make.
const near = 0.015

// How much of silence before the next note, or before a beat, belongs to a note, in
// quarters: a shorter gap only separates notes or phrases, a longer one is a rest.
// Before a part of a beat it is less than before a whole one. A breath takes seconds,
// and so more of a quick beat.
const (
	gap        = 0.22
	gapPart    = 0.13
	mostGap    = 0.45
	gapSeconds = 0.15
)

// wholeGap is the gap before a whole beat.
func (r *reader) wholeGap() float64 {
	return min(max(gap, gapSeconds*r.tempo/60), mostGap)
}

// mostOdd is how many of the notes, as one in so many, lie on none of the usual
// places in a file that was written; in one that was played more do.
const mostOdd = 3

// coarse is how many of the divisions are usual.
const coarse = 6

// place puts the notes of a part on their places.
func (r *reader) place(t *melody.Tune, p *strand) {
	off, odd := 0, 0
	t.Swing = r.swing(p)
	for _, n := range p.notes {
		n.from = r.straight(n.from, t.Swing)
		at, on := snap(r.quarters(n.from), divisions, near)
		if _, coarse := snap(r.quarters(n.from), divisions[:coarse], near); !coarse {
			odd++
		}
		if !on {
			off++
		}
		end := beat.Max(r.quarters(n.to), at.Plus(beat.Whole(1).Over(32)))
		t.Notes = append(t.Notes, melody.Note{
			At: at, Length: end.Minus(at), Pitches: []melody.Pitch{melody.FromMidi(int(n.key), r.fifths())},
			Place: melody.Place{Line: int(min(n.from, math.MaxInt32))},
		})
	}
	if off > 0 && odd*mostOdd <= len(p.notes) {
		t.Remarks = append(t.Remarks, fmt.Sprintf("%d of %d notes lie between the parts of a beat and were moved to the nearest", off, len(p.notes)))
	}
	if odd*mostOdd > len(p.notes) && r.quantise(t, p) {
		return
	}
	t.Settle()
	for i := range t.Notes {
		n := &t.Notes[i]
		n.Length = r.ending(t, i).Minus(n.At)
		t.Length = beat.Max(t.Length, n.End())
	}
	r.sing(t, p.lyrics)
}

func (r *reader) fifths() int {
	if r.key == nil {
		return 0
	}
	return r.key.Fifths
}

// snap is the coarsest place next to a time, and whether it lies near enough.
func snap(at beat.Time, divisions []int, within float64) (beat.Time, bool) {
	best, least := at, math.Inf(1)
	for _, n := range divisions {
		place := beat.Whole(at.Times(n).Plus(beat.Whole(1).Over(2)).Floor()).Over(n)
		off := math.Abs(place.Minus(at).Float())
		if off <= within {
			return place, true
		}
		if n <= 12 && off < least-1e-9 {
			best, least = place, off
		}
	}
	return best, false
}

// ending is where a note ends: at the next, if only a breath lies between, else
// on a part of a beat.
func (r *reader) ending(t *melody.Tune, i int) beat.Time {
	n := &t.Notes[i]
	end := n.End()
	next, follows := beat.Time{}, i+1 < len(t.Notes)
	if follows {
		next = t.Notes[i+1].At
		within := gap
		if next.IsWhole() {
			within = r.wholeGap()
		}
		if next.Minus(end).Float() < within {
			return next
		}
	}
	place := end
	for _, parts := range []int{1, 2, 3, 4, 8} {
		up := beat.Whole(end.Times(parts).Ceil()).Over(parts)
		most := gapPart
		if parts == 1 {
			most = r.wholeGap()
		}
		if up.Minus(end).Float() < most {
			place = up
			break
		}
		place, _ = snap(end, divisions, near)
	}
	if follows && next.Less(place) || !n.At.Less(place) {
		return beat.Min(next, n.End())
	}
	return place
}

// sing gives notes the syllables that stand where they begin.
func (r *reader) sing(t *melody.Tune, lyrics []sung) {
	for _, s := range lyrics {
		at, _ := snap(r.quarters(s.at), divisions, near)
		i := sort.Search(len(t.Notes), func(i int) bool { return !t.Notes[i].At.Less(at) })
		if i < len(t.Notes) && t.Notes[i].At == at && s.text != "" {
			t.Notes[i].Words = []string{s.text}
			t.Verses = 1
		}
	}
}

// mostBars bounds the bars of a tune.
const mostBars = 100_000

// bars cuts a tune into bars, as the metre events say. Silence in the first bar
// before the first note is what is not written of a pick-up.
func (r *reader) bars(t *melody.Tune) {
	if len(t.Bars) > 0 { // a played file, whose bars were found with its beats
		return
	}
	changes := r.metres
	if len(changes) == 0 || changes[0].at > 0 {
		changes = append([]metreChange{{}}, changes...)
	}
	for i, c := range changes {
		at, end := r.quarters(c.at), t.Length
		if i+1 < len(changes) {
			end = beat.Min(end, r.quarters(changes[i+1].at))
		}
		full := c.metre.Length()
		if full.Sign() == 0 {
			full = beat.Max(end.Minus(at), beat.Whole(1))
		}
		for ; at.Less(end) && len(t.Bars) < mostBars; at = at.Plus(full) {
			t.Bars = append(t.Bars, melody.Bar{At: at, Metre: c.metre})
		}
	}
	if len(t.Bars) == 0 {
		t.Bars = []melody.Bar{{Metre: changes[0].metre}}
	}
	if n := len(t.Bars) - 1; t.Bars[n].Metre.Unit > 0 { // the last bar is whole
		t.Length = beat.Max(t.Length, t.Bars[n].At.Plus(t.Bars[n].Metre.Length()))
	}
	r.pickup(t)
	for i := range t.Bars {
		t.Bars[i].Number = strconv.Itoa(i + 1)
	}
	t.NumberBars()
}

// pickup takes the silence before a pick-up away.
func (r *reader) pickup(t *melody.Tune) {
	if len(t.Notes) == 0 || len(t.Bars) < 2 || t.Bars[0].Metre.Unit == 0 {
		return
	}
	first := t.Notes[0].At
	if first.Sign() == 0 || !first.Less(t.Bars[1].At) {
		return
	}
	for i := range t.Notes {
		t.Notes[i].At = t.Notes[i].At.Minus(first)
	}
	for i := range t.Bars[1:] {
		t.Bars[i+1].At = t.Bars[i+1].At.Minus(first)
	}
	t.Length = t.Length.Minus(first)
}
