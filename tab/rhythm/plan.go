package rhythm

import (
	"slices"

	"reedlark/tab"
	"reedlark/tab/beat"
)

// Plan is the rhythm that a page is to have.
type Plan struct {
	Notes []Length  // one for each of Page.Notes
	Metre tab.Metre // zero where nobody knows it
	Swing float64   // 0.5 is straight
}

// Length is the rhythm of a note. The zero Length leaves it as it is.
type Length struct {
	At    beat.Time // from the start of a bar
	Beats beat.Time // how long it sounds; 0 to leave it
	Rest  beat.Time // the silence after it
}

func (l Length) known() bool { return l.Beats.Sign() > 0 }

// line is a row with the rhythm it is to have.
type line struct {
	*row
	start beat.Time // of its first item, from the start of a bar
	items []item
	tied  beat.Time // of the note before the row, how much of it sounds on in its first beat
	lean  beat.Time // of its last note, how much sounds on in the next row's first beat
	split bool      // a beat is divided between this row and the next or the one before
}

// item is an atom of a row, or a rest that the row does not have yet.
type item struct {
	atom  int // in row.atoms; -1 for a new rest
	beats beat.Time
}

// end is where the last item ends.
func (l *line) end() beat.Time {
	at := l.start
	for _, it := range l.items {
		at = at.Plus(it.beats)
	}
	return at
}

// lines are the rows that change.
func (p *Page) lines(plan Plan) []*line {
	var out []*line
	for i, lengths := range p.share(plan) {
		l := &line{row: p.rows[i]}
		if l.fill(lengths, plan) {
			out = append(out, l)
		}
	}
	join(out, p.rows)
	return out
}

// fill gives a row its items, and reports whether anything changes.
func (l *line) fill(lengths []Length, plan Plan) (changes bool) {
	began := false
	for k, a := range l.atoms {
		if a.note >= 0 && plan.Notes[a.note].known() && !began {
			l.start, began = plan.Notes[a.note].At.Minus(l.end()), true
		}
		l.items = append(l.items, item{k, lengths[k].Beats})
		changes = changes || lengths[k].Beats != a.beats
		if rest := lengths[k].Rest; rest.Sign() > 0 {
			l.items = append(l.items, item{-1, rest})
			changes = true
		}
	}
	return changes && began
}

// share gives the notes and rests of each row their beats. Rests that are written
// have a part of the time of the note before them.
func (p *Page) share(plan Plan) [][]Length {
	out := make([][]Length, len(p.rows))
	var note *Length    // the last one, if it is in the plan
	var rests []*Length // since then
	for i, r := range p.rows {
		out[i] = make([]Length, len(r.atoms))
		for k, a := range r.atoms {
			l := &out[i][k]
			l.Beats = a.beats
			if a.note < 0 {
				rests = append(rests, l)
				continue
			}
			note.divide(rests)
			note, rests = nil, nil
			if plan.Notes[a.note].known() {
				*l, note = plan.Notes[a.note], l
			}
		}
	}
	note.divide(rests)
	return out
}

// divide gives the rests behind a note their part of its time: the silence that
// was heard, else a beat each, and half of the time where that is too much.
func (l *Length) divide(rests []*Length) {
	n := len(rests)
	if l == nil || n == 0 {
		return
	}
	each, whole := beat.Whole(1), l.Beats
	switch {
	case l.Rest.Sign() > 0:
		each = l.Rest.Over(n)
		l.Rest = beat.Time{}
	case whole.Minus(beat.Whole(n)).Less(beat.Whole(1).Over(2)):
		each = whole.Over(2 * n)
		l.Beats = whole.Over(2)
	default:
		l.Beats = whole.Minus(beat.Whole(n))
	}
	for _, r := range rests {
		r.Beats = each
	}
}

// join settles what happens where a row begins within a beat: the note before
// sounds on into that beat, or the beat is divided between two rows.
func join(lines []*line, rows []*row) {
	for i, l := range lines {
		part := l.start.Mod(beat.Whole(1))
		if i == 0 || part.Sign() == 0 || !follows(lines[i-1].row, l.row, rows) || lines[i-1].end() != l.start {
			continue
		}
		before := lines[i-1]
		if last := before.items[len(before.items)-1]; part.Less(last.beats) {
			l.tied, before.lean = part, part
			continue
		}
		l.split, before.split = true, true
	}
}

func follows(a, b *row, rows []*row) bool {
	return slices.Index(rows, b) == slices.Index(rows, a)+1
}
