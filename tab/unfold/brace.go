package unfold

import (
	"reedlark/tab/beat"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// fill gives the items of a row their beats, as if it had no count row.
func (r *row) fill() {
	if r.Broken {
		for i := range r.items {
			r.items[i].lasts(wholeBeat)
		}
		return
	}
	r.share(0, len(r.items), wholeBeat)
	for i := 0; i < len(r.items); i++ {
		if r.items[i].Kind == scan.OpenBrace {
			r.swingHalf(i)
			i = r.items[i].Match
		}
	}
}

// share gives every item from i to end its part, unit being the part of one
// note. A brace takes the part of one note, or of more where it is intervaled,
// and shares it out inside. The depth is bounded by that of the braces.
func (r *row) share(i, end int, unit beat.Time) {
	for ; i < end; i++ {
		it := &r.items[i]
		if it.Kind != scan.OpenBrace || it.Role == tree.Grace {
			it.lasts(unit)
			continue
		}
		shares := max(r.weigh(i+1, it.Match), 1)
		r.share(i+1, it.Match, unit.Times(r.weight(i)).Over(shares))
		i = it.Match
	}
}

// lasts gives one item its beats, where unit is the part of one note.
func (it *item) lasts(unit beat.Time) {
	switch {
	case it.Role == tree.Grace || it.Stretch || it.Kind == scan.Note && it.Note == nil:
		it.beats = beat.Time{}
	case it.Kind == scan.Note || it.Kind == scan.Rest:
		it.beats = unit
	case it.Kind == scan.Hold && it.Held > 0:
		it.beats = unit.Times(it.Held)
	}
}

// weigh counts the shares between two items of one brace.
func (r *row) weigh(i, end int) int {
	sum := 0
	for ; i < end; i++ {
		sum += r.weight(i)
		if r.items[i].Kind == scan.OpenBrace {
			i = r.items[i].Match
		}
	}
	return sum
}

// weight is how many shares the item at i takes: a brace one and its interval.
func (r *row) weight(i int) int {
	it := &r.items[i]
	switch {
	case it.Role == tree.Grace || it.Stretch:
		return 0
	case it.Kind == scan.Note || it.Kind == scan.Rest:
		return 1
	case it.Kind == scan.Hold:
		return it.Held
	case it.Kind == scan.OpenBrace:
		if next := it.Match + 1; next < len(r.items) && r.items[next].Stretch {
			return 1 + r.items[next].Held
		}
		return 1
	}
	return 0
}

// swingHalf marks the second of two equal shares of an outermost brace of one
// beat: swing moves it.
func (r *row) swingHalf(open int) {
	if r.items[open].Role == tree.Grace || r.weight(open) != 1 {
		return
	}
	var members []int // items that begin a share
	var weights []int
	for i := open + 1; i < r.items[open].Match; i++ {
		it := &r.items[i]
		switch {
		case it.Kind == scan.OpenBrace:
			return
		case it.Kind == scan.Hold && len(members) > 0:
			weights[len(weights)-1] += it.Held
		case r.weight(i) > 0:
			members, weights = append(members, i), append(weights, r.weight(i))
		}
	}
	if len(members) == 2 && weights[0] == weights[1] {
		r.items[members[1]].swung = true
	}
}
