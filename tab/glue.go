package tab

import (
	"fmt"

	"reedlark/tab/diag"
)

// aboutGlue warns of notes glued together in a way that two readers would
// play differently.
func (p *page) aboutGlue(r *row) {
	for i := range r.items {
		if hint, from := p.twoReadings(r, i); hint != "" {
			p.twoReadingsAt(spanOf(r.cells, r.items[from].from, r.items[i].to), hint)
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

// twoReadings looks at the note at i and what it is glued to. It returns what
// to write instead, and the item the doubtful word begins with.
func (p *page) twoReadings(r *row, i int) (hint string, from int) {
	it := &r.items[i]
	if it.kind != noteItem || !it.glued || i == 0 {
		return "", 0
	}
	before := &r.items[i-1]
	switch {
	case before.kind == holdItem && r.dashAt(before.to-1):
		return p.doubleDash(r, i)
	case before.kind == breathItem && before.glued && i > 1 && r.items[i-2].kind == noteItem:
		return r.chordOf(i-2, i), i - 2
	case before.kind == noteItem && (it.written.sign == '+' || before.written.parted || before.written.bendAfterEnd && before.written.bends == 1):
		return r.chordOf(i-1, i), i - 1
	}
	return "", 0
}

// chordOf is the chord that two glued bare numbers may have meant; "" where
// they are no bare numbers.
func (r *row) chordOf(a, b int) string {
	first, second := r.items[a].written, r.items[b].written
	bare := first.letter == 0 && second.letter == 0 && second.sign != '-' && first.overs+first.shakes == 0
	if !bare {
		return ""
	}
	sign := ""
	if first.sign == '-' {
		sign = "-"
	}
	digits := func(w written) string { return words(r.cells[w.digits[0]:w.digits[1]]) }
	return fmt.Sprintf("Write %s%s%s if they sound together, and a blank between them if not.", sign, digits(first), digits(second))
}

// doubleDash looks at the hold marks glued before the note at i.
func (p *page) doubleDash(r *row, i int) (hint string, from int) {
	from = i - 1
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
