package arrange

import (
	"slices"
	"strings"

	"reedlark/tab/beat"
)

// cell is one word of a row, with what stands under it.
type cell struct {
	tab, count, words string
	tail              string // what stands behind the note and its brace: a slide, a breath
	lost              int    // the note of the tune that its rest stands for; -1 for none
}

// bar writes the parts of a bar with holds and braces.
func (w *writer) bar(b *bar) (cells []cell) {
	for i := 0; i < len(b.parts); {
		end := w.groupEnd(b, i)
		cells = append(cells, w.group(b.parts[i:end])...)
		i = end
	}
	return cells
}

// groupEnd is the part after the last of a group: parts that begin together on
// a beat and end together on one.
func (w *writer) groupEnd(b *bar, i int) int {
	for i++; i < len(b.parts) && !b.parts[i].from.IsWhole(); i++ {
	}
	return i
}

// group writes one note with its holds, or a brace. The whole beats of a long
// first or last note stand outside the brace, as holds.
func (w *writer) group(parts []part) []cell {
	if len(parts) == 1 {
		return []cell{w.cell(parts[0], parts[0].length().Floor())}
	}
	var cells []cell
	if first := parts[0]; !first.length().Less(beat.Whole(2)) {
		whole := first.length().Floor()
		cells = append(cells, w.cell(first, whole))
		parts = slices.Clone(parts)
		parts[0].from, parts[0].goesOn, parts[0].graces = first.from.Plus(beat.Whole(whole)), true, nil
		cells[0].tail = ""
	}
	last := &parts[len(parts)-1]
	inside := *last
	inside.to = beat.Whole(last.from.Ceil())
	cells = append(cells, w.brace(append(slices.Clone(parts[:len(parts)-1]), inside))...)
	if after := last.to.Minus(inside.to).Floor(); after > 0 {
		end := &cells[len(cells)-1]
		if last.rest {
			return append(cells, cell{tab: "r" + holds(after-1), lost: -1})
		}
		end.tail = " " + holds(after) + end.tail
	}
	return cells
}

// brace writes parts that share some beats.
func (w *writer) brace(parts []part) []cell {
	span := parts[len(parts)-1].to.Minus(parts[0].from)
	share := parts[0].length()
	for _, p := range parts[1:] {
		share = common(share, p.length())
	}
	cells := make([]cell, len(parts))
	for i, p := range parts {
		cells[i] = w.cell(p, shares(p.length(), share))
	}
	cells[0].tab = "{" + cells[0].tab
	cells[len(cells)-1].tab += "}" + holds(span.Floor()-1)
	return cells
}

// shares is how often a share goes into a length.
func shares(length, share beat.Time) int {
	return int(length.Num() * share.Denom() / (length.Denom() * share.Num()))
}

// common is the longest time that goes into two others.
func common(a, b beat.Time) beat.Time {
	for b.Sign() > 0 {
		a, b = b, a.Mod(b)
	}
	return a
}

func holds(n int) string { return strings.Repeat("-", max(n, 0)) }

// cell writes one part as long as so many beats, or shares of a brace.
func (w *writer) cell(p part, beats int) cell {
	c := cell{lost: -1}
	switch {
	case p.goesOn && p.rest:
		c.tab = "r" + holds(beats-1)
	case p.goesOn:
		c.tab, c.tail = strings.TrimSuffix(strings.Repeat("- ", beats), " "), w.tail(p)
	case p.rest:
		c.tab, c.lost = "r"+holds(beats-1), p.note
	default:
		c.tab, c.tail, c.words = w.note(p, holds(beats-1)), w.tail(p), w.syllable(p.note)
	}
	return c
}

// note writes a note with what leans on it.
func (w *writer) note(p part, held string) string {
	n := &w.tune.Notes[p.note]
	text := n.Fingering + held
	if n.Optional {
		text = "(" + text + ")"
	}
	if len(p.graces) > 0 && !n.Optional {
		var graces []string
		for _, g := range p.graces {
			graces = append(graces, w.tune.Notes[g].Fingering)
		}
		text = "(" + strings.Join(graces, " ") + ")" + text
	}
	return text
}

// tail is what follows a note, where it ends.
func (w *writer) tail(p part) string {
	switch {
	case !p.ends:
	case w.tune.Notes[p.note].Breath:
		return " ,"
	case w.slides(p.note):
		return " ->"
	}
	return ""
}

// slides says that a note slides on to the next.
func (w *writer) slides(i int) bool {
	n := &w.tune.Notes[i]
	return n.Slide.To && !n.Breath && i+1 < len(w.tune.Notes) && w.tune.Notes[i+1].At == n.End() && w.tune.Notes[i+1].Fingering != ""
}

// syllable is what is sung to a note.
func (w *writer) syllable(note int) string {
	words := w.tune.Notes[note].Words
	if w.verse > len(words) || words[w.verse-1] == "" {
		return unsung
	}
	return strings.Join(strings.Fields(words[w.verse-1]), "~")
}

// unsung stands under a note on which no new syllable begins.
const unsung = "_"
