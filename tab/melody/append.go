package melody

import (
	"slices"

	"reedlark/tab/beat"
)

// Append adds a note at the end. Where it is tied to the note before, and that
// one ends where it begins with the same pitches, that one becomes longer
// instead. Pitches are put in order, and each is kept once.
func (t *Tune) Append(n Note, tied bool) {
	slices.SortFunc(n.Pitches, func(a, b Pitch) int { return a.Midi - b.Midi })
	n.Pitches = slices.CompactFunc(n.Pitches, func(a, b Pitch) bool { return a.Midi == b.Midi })
	if tied && !n.Grace {
		if i := t.tiedTo(&n); i >= 0 {
			before := &t.Notes[i]
			before.Length = before.Length.Plus(n.Length)
			before.Breath = before.Breath || n.Breath
			before.Slide.To, before.Slide.Fall = n.Slide.To, n.Slide.Fall
			return
		}
	}
	t.Notes = append(t.Notes, n)
}

// tiedTo is the note that another goes on from, -1 for none.
func (t *Tune) tiedTo(n *Note) int {
	i := len(t.Notes) - 1
	for i >= 0 && t.Notes[i].Grace {
		i--
	}
	if i < 0 || t.Notes[i].End() != n.At || !slices.EqualFunc(t.Notes[i].Pitches, n.Pitches, func(a, b Pitch) bool { return a.Midi == b.Midi }) {
		return -1
	}
	return i
}

// CutAtSigns cuts the notes that sound across a sign of the form (a repeat, an
// ending, a jump), since what follows is not always the same. It reports how
// many it cut.
func (t *Tune) CutAtSigns() (cut int) {
	var signs []beat.Time
	for i := range t.Bars {
		b := &t.Bars[i]
		if i > 0 && (b.Open || len(b.Endings) > 0 || b.Segno || b.Coda || t.Bars[i-1].signed()) {
			signs = append(signs, b.At)
		}
	}
	if len(signs) == 0 {
		return 0
	}
	out := make([]Note, 0, len(t.Notes))
	for _, n := range t.Notes {
		for len(signs) > 0 && !n.At.Less(signs[0]) {
			signs = signs[1:]
		}
		rest := signs
		for len(rest) > 0 && rest[0].Less(n.End()) {
			first := n
			first.Length = rest[0].Minus(n.At)
			out = append(out, first)
			n.At, n.Length, n.Words = rest[0], n.End().Minus(rest[0]), nil
			rest, cut = rest[1:], cut+1
		}
		out = append(out, n)
	}
	t.Notes = out
	return cut
}

// signed says that the playing may go on elsewhere after a bar.
func (b *Bar) signed() bool {
	return b.Close > 0 || b.Stop || b.ToCoda || b.Fine || b.Jump.From != NoJump
}
