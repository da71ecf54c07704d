package tab

import (
	"fmt"

	"reedlark/tab/diag"
)

// aboutGlue warns of notes glued together in a way that two readers would
// play differently.
func (p *page) aboutGlue(r *row) {
	for i := 0; i < len(r.items); i++ {
		if hint, from := p.doubleDash(r, i); hint != "" {
			p.twoReadingsAt(spanOf(r.cells, r.items[from].from, r.items[i].to), hint)
		}
		if end := r.joined(i); end > i {
			p.twoReadingsAt(spanOf(r.cells, r.items[i].from, r.items[end].to), r.chordHint(i, end))
			i = end
		} else if hint := r.shakeHint(i); hint != "" {
			p.twoReadingsAt(spanOf(r.cells, r.items[i].from, r.items[i+1].to), hint)
		}
	}
}

// partAtSlashes reads the slash glued between two bare numbers, as in 4/5, as
// what parts two notes: a bend of the first would need a blank after it.
func (r *row) partAtSlashes() {
	for i := 1; i < len(r.items); i++ {
		a, b := &r.items[i-1], &r.items[i]
		notes := a.kind == noteItem && b.kind == noteItem && b.glued
		if w := &a.written; notes && w.slashAlone() && b.written.bare() {
			w.bends, w.parted = 0, true
		}
	}
}

// slashAlone says the number carries one slash after it and nothing else.
func (w *written) slashAlone() bool {
	return w.bare() && w.bendAfterEnd && w.bends == 1 && w.overs+w.shakes == 0
}

// bare says that no sign, letter or arrow tells the breath.
func (w *written) bare() bool { return w.sign == 0 && w.letter == 0 }

func (p *page) twoReadingsAt(at diag.Span, hint string) {
	p.add(diag.Warning, diag.TwoReadings, at, hint, fmt.Sprintf("“%s” can be read in two ways, and is played as notes one after the other.", shorten(p.text[at.Start:at.End])))
}

// joined is the last of the notes from i on that are glued as if they were one
// chord, as in 4,5 or 4+5+6; i where none is.
func (r *row) joined(i int) int {
	for {
		next := r.joinedNext(i)
		if next == 0 {
			return i
		}
		i = next
	}
}

// joinedNext is the note that is glued to the one at i by a comma, a plus or a
// slash; 0 for none. A note with a sign of its own is in no doubt.
func (r *row) joinedNext(i int) int {
	k := i + 1
	comma := k < len(r.items) && r.items[k].kind == breathItem && r.items[k].glued
	if comma {
		k++
	}
	if k >= len(r.items) || r.items[i].note == nil || r.items[k].note == nil || !r.items[k].glued {
		return 0
	}
	a, b := r.items[i].written, r.items[k].written
	bare := a.letter == 0 && b.letter == 0 && b.sign != '-' && a.overs+a.shakes == 0
	slash := a.parted || a.bendAfterEnd && a.bends == 1
	if bare && (comma && b.sign == 0 || !comma && (b.sign == '+' || slash)) {
		return k
	}
	return 0
}

// chordHint says how to write the notes from i to end: as the chord they may
// have been meant as, where they can be one.
func (r *row) chordHint(i, end int) string {
	var holes []int
	for k := i; k <= end; k++ {
		if n := r.items[k].note; n != nil {
			holes = append(holes, n.Holes...)
		}
	}
	if len(holes) > lastHole || repeated(holes) {
		return "Put a blank between them."
	}
	sign := ""
	if r.items[i].written.sign == '-' {
		sign = "-"
	}
	return fmt.Sprintf("Write %s%s if they sound together, and a blank between them if not.", sign, glued(holes))
}

// shakeHint says how to write a shake between the holes of the note at i and
// of the one that is glued to it, as in 4~5; "" where there is no such doubt.
func (r *row) shakeHint(i int) string {
	if i+1 >= len(r.items) || !r.items[i+1].glued {
		return ""
	}
	a, b := &r.items[i], &r.items[i+1]
	if a.note == nil || b.note == nil || !a.note.Shake || a.written.letter != 0 || !b.written.plain() {
		return ""
	}
	holes := append(append([]int(nil), a.note.Holes...), b.note.Holes...)
	if len(holes) > mostShaken || repeated(holes) {
		return ""
	}
	return fmt.Sprintf("Write %s for a shake between the two, and a blank between them if not.", a.written.around(glued(holes)))
}

// doubleDash looks at the hold marks glued before the note at i. It returns
// what to write instead, and the item the doubtful word begins with.
func (p *page) doubleDash(r *row, i int) (hint string, from int) {
	from = i - 1
	if i == 0 || r.items[i].kind != noteItem || !r.items[i].glued || r.items[from].kind != holdItem || !r.dashAt(r.items[from].to-1) {
		return "", 0
	}
	held := from > 0 && r.items[from].glued && r.items[from-1].kind == noteItem
	if held {
		from--
	}
	switch w := r.items[i].written; {
	case w.sign == '-':
		return "Put a blank between the hold and the draw sign, as in 4- -5.", from
	case w.letter != 0 && held && r.items[from].written.letter != 0:
		return "Put a blank after the dash if it holds the note before it.", from
	}
	return "", 0
}

// dashAt says that a cell is a dash.
func (r *row) dashAt(i int) bool { return r.cells[i].r == '-' }

// aboutDashes warns once of a page whose only dashes are glued between
// numbers, as in 4-5-6, where they may be mere hyphens.
func (p *page) aboutDashes() {
	var first diag.Span
	for _, r := range p.rows {
		for i := range r.items {
			it := &r.items[i]
			switch {
			case it.kind == noteItem && it.written.sign == '-' && r.betweenDigits(i):
				if first.End == 0 {
					first = spanOf(r.cells, r.items[i-1].from, it.to)
				}
			case r.usesDash(it):
				return
			}
		}
	}
	if first.End > 0 {
		p.twoReadingsAt(first, "Put a blank before each draw sign, as in 4 -5 -6, or blanks instead of the dashes if nothing is drawn.")
	}
}

// betweenDigits says that the draw sign of note i is glued between two digits.
func (r *row) betweenDigits(i int) bool {
	it := &r.items[i]
	return it.glued && i > 0 && r.items[i-1].kind == noteItem && isDigit(r.cells[it.from-1].r)
}

// usesDash says that an item has a dash that is no hyphen: a draw sign that
// stands free, or a hold.
func (r *row) usesDash(it *item) bool {
	return it.kind == noteItem && it.written.sign == '-' || it.kind == holdItem && r.dashAt(it.to-1)
}
