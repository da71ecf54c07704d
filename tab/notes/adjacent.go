package notes

import (
	"fmt"

	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// checkAdjacent warns of notes that touch in a way that two readers would
// play differently.
func (p *reader) checkAdjacent(r *Row) {
	for i := 0; i < len(r.Items); i++ {
		if hint, from := p.doubleDash(r, i); hint != "" {
			p.twoReadingsAt(r.Line.Cells.Span(r.Items[from].From, r.Items[i].To), hint)
		}
		if end := r.joined(i); end > i {
			p.twoReadingsAt(r.Line.Cells.Span(r.Items[i].From, r.Items[end].To), r.chordHint(i, end))
			i = end
		} else if hint := r.shakeHint(i); hint != "" {
			p.twoReadingsAt(r.Line.Cells.Span(r.Items[i].From, r.Items[i+1].To), hint)
		}
	}
}

func (p *reader) twoReadingsAt(at diag.Span, hint string) {
	p.Add(diag.Warning, diag.TwoReadings, at, hint, fmt.Sprintf("“%s” can be read in two ways, and is played as notes one after the other.", p.Quote(at)))
}

// joined is the last of the notes from i on that touch as if they were one
// chord, as in 4,5 or 4+5+6; i where none is.
func (r *Row) joined(i int) int {
	for {
		next := r.joinedNext(i)
		if next == 0 {
			return i
		}
		i = next
	}
}

// joinedNext is the note joined to the one at i by a comma, a plus or a slash; 0 for none. A note with a sign of its own is in no doubt.
func (r *Row) joinedNext(i int) int {
	k := i + 1
	comma := k < len(r.Items) && r.Items[k].Kind == scan.Comma && r.Items[k].Adjacent
	if comma {
		k++
	}
	if k >= len(r.Items) || r.Items[i].Note == nil || r.Items[k].Note == nil || !r.Items[k].Adjacent {
		return 0
	}
	a, b := r.Items[i].Written, r.Items[k].Written
	bare := a.Letter == 0 && b.Letter == 0 && b.Sign != '-' && a.Overs+a.Shakes == 0
	slash := a.Parted || a.SlashEnds && a.Bends == 1
	if bare && (comma && b.Sign == 0 || !comma && (b.Sign == '+' || slash)) {
		return k
	}
	return 0
}

// chordHint says how to write the notes from i to end: as the chord they may
// have been meant as, where they can be one.
func (r *Row) chordHint(i, end int) string {
	var holes []int
	for k := i; k <= end; k++ {
		if n := r.Items[k].Note; n != nil {
			holes = append(holes, n.Holes...)
		}
	}
	if len(holes) > lastHole || repeated(holes) {
		return "Put a blank between them."
	}
	sign := ""
	if r.Items[i].Written.Sign == '-' {
		sign = "-"
	}
	return fmt.Sprintf("Write %s%s if they sound together, and a blank between them if not.", sign, chordOf(holes))
}

// shakeHint says how to write a shake between the holes of the note at i and
// of the one that touches it, as in 4~5; "" where there is no such doubt.
func (r *Row) shakeHint(i int) string {
	if i+1 >= len(r.Items) || !r.Items[i+1].Adjacent {
		return ""
	}
	a, b := &r.Items[i], &r.Items[i+1]
	if a.Note == nil || b.Note == nil || !a.Note.Shake || a.Written.Letter != 0 || !b.Written.Plain() {
		return ""
	}
	holes := append(append([]int(nil), a.Note.Holes...), b.Note.Holes...)
	if len(holes) > mostShaken || repeated(holes) {
		return ""
	}
	return fmt.Sprintf("Write %s for a shake between the two, and a blank between them if not.", around(a.Written, chordOf(holes)))
}

// doubleDash looks at the hold marks that touch the note at i. It returns
// what to write instead, and the item the doubtful word begins with.
func (p *reader) doubleDash(r *Row, i int) (hint string, from int) {
	from = i - 1
	if i == 0 || r.Items[i].Kind != scan.Note || !r.Items[i].Adjacent || r.Items[from].Kind != scan.Hold || !r.dashAt(r.Items[from].To-1) {
		return "", 0
	}
	held := from > 0 && r.Items[from].Adjacent && r.Items[from-1].Kind == scan.Note
	if held {
		from--
	}
	switch w := r.Items[i].Written; {
	case w.Sign == '-':
		return "Put a blank between the hold and the draw sign, as in 4- -5.", from
	case w.Letter != 0 && held && r.Items[from].Written.Letter != 0:
		return "Put a blank after the dash if it holds the note before it.", from
	}
	return "", 0
}

// dashAt reports whether a cell is a dash.
func (r *Row) dashAt(i int) bool { return r.Line.Cells[i].R == '-' }

// checkDashes warns once of a page whose only dashes are between numbers that
// touch, as in 4-5-6, where they may be mere hyphens.
func (p *reader) checkDashes(rows []*Row) {
	var first diag.Span
	for _, r := range rows {
		for i := range r.Items {
			it := &r.Items[i]
			switch {
			case it.Kind == scan.Note && it.Written.Sign == '-' && r.betweenDigits(i):
				if first.End == 0 {
					first = r.Line.Cells.Span(r.Items[i-1].From, it.To)
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

// betweenDigits reports whether the draw sign of note i touches a digit on both sides.
func (r *Row) betweenDigits(i int) bool {
	it := &r.Items[i]
	return it.Adjacent && i > 0 && r.Items[i-1].Kind == scan.Note && scan.IsDigit(r.Line.Cells[it.From-1].R)
}

// usesDash reports whether an item has a dash that is not a hyphen: a free-standing
// draw sign, or a hold.
func (r *Row) usesDash(it *Item) bool {
	return it.Kind == scan.Note && it.Written.Sign == '-' || it.Kind == scan.Hold && r.dashAt(it.To-1)
}
