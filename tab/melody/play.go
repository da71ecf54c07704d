package melody

import (
	"slices"

	"reedlark/tab/beat"
)

// Unfold is the tune as it is played, its repeats and jumps written out. Bars
// that were cut by a sign are whole again where their parts now meet. ok is false
// where it would be longer than [MostBars] and ends there.
func (t *Tune) Unfold() (out *Tune, ok bool) {
	order, ok := t.Order()
	played := *t
	played.Bars, played.Notes, played.Chords, played.Length = nil, nil, nil, beat.Time{}
	played.playAll(t, order)
	played.mend()
	return &played, ok
}

// playAll adds bars of another tune in some order.
func (t *Tune) playAll(from *Tune, order []int) {
	for k, i := range order {
		if k > 0 && order[k-1]+1 != i {
			t.cutEnd()
		}
		t.play(from, i)
	}
	t.cutEnd()
}

// cutEnd ends the last note where the tune does so far: what it would go on into
// does not follow.
func (t *Tune) cutEnd() {
	if n := len(t.Notes); n > 0 && t.Length.Less(t.Notes[n-1].End()) {
		t.Notes[n-1].Length = t.Length.Minus(t.Notes[n-1].At)
	}
}

// play adds one bar of another tune, its notes and its chords.
func (t *Tune) play(from *Tune, i int) {
	b := from.Bars[i]
	start, end := b.At, from.BarEnd(i)
	moved := t.Length.Minus(start)
	t.Bars = append(t.Bars, Bar{At: t.Length, Number: b.Number, Metre: b.Metre, Place: b.Place, Section: b.Section, Double: b.Double})
	for k := from.noteAt(start); k < len(from.Notes) && from.Notes[k].At.Less(end); k++ {
		n := from.Notes[k]
		n.At = n.At.Plus(moved)
		t.Notes = append(t.Notes, n)
	}
	for k := from.chordAt(start); k < len(from.Chords) && from.Chords[k].At.Less(end); k++ {
		c := from.Chords[k]
		c.At = c.At.Plus(moved)
		t.Chords = append(t.Chords, c)
	}
	t.Length = t.Length.Plus(end.Minus(start))
}

// noteAt is the index of the first note at a time or after it.
func (t *Tune) noteAt(at beat.Time) int {
	i, _ := slices.BinarySearchFunc(t.Notes, at, func(n Note, at beat.Time) int { return n.At.Cmp(at) })
	return i
}

// chordAt is the index of the first chord symbol at a time or after it.
func (t *Tune) chordAt(at beat.Time) int {
	i, _ := slices.BinarySearchFunc(t.Chords, at, func(c Chord, at beat.Time) int { return c.At.Cmp(at) })
	return i
}

// mend joins two parts of one bar that stand side by side.
func (t *Tune) mend() {
	var whole []Bar
	for i := range t.Bars {
		if n := len(whole); n > 0 && t.partOf(whole[n-1], i) {
			whole[n-1].Double, whole[n-1].Close, whole[n-1].Stop = t.Bars[i].Double, t.Bars[i].Close, t.Bars[i].Stop
			continue
		}
		whole = append(whole, t.Bars[i])
	}
	t.Bars = whole
}

// partOf says that a bar fills up the one before it, which is short.
func (t *Tune) partOf(before Bar, i int) bool {
	full := t.Bars[i].Metre.Length()
	both := t.BarEnd(i).Minus(before.At)
	b := &t.Bars[i]
	if before.Close > 0 || b.Open || len(b.Endings) > 0 || before.Jump.From != NoJump || before.Fine || before.ToCoda || b.Segno || b.Coda {
		return false
	}
	return before.Metre == t.Bars[i].Metre && before.At.Sign() > 0 && full.Sign() > 0 && !full.Less(both) &&
		t.Bars[i].At.Minus(before.At).Less(full) && t.BarEnd(i).Minus(t.Bars[i].At).Less(full) && t.Bars[i].Section == ""
}

// Rearrange puts the bars of a tune in another order, each as often as it is
// named.
func (t *Tune) Rearrange(order []int) {
	out := *t
	out.Bars, out.Notes, out.Chords, out.Length = nil, nil, nil, beat.Time{}
	for k, i := range order {
		if k > 0 && order[k-1]+1 != i {
			out.cutEnd()
		}
		out.play(t, i)
		signs := t.Bars[i]
		signs.At = out.Bars[len(out.Bars)-1].At
		out.Bars[len(out.Bars)-1] = signs
	}
	out.cutEnd()
	*t = out
}
