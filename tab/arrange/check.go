package arrange

import (
	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// heard is a note as a page plays it.
type heard struct {
	start, beats beat.Time
	text         string
	role         tab.Role
}

// playedBy says whether a page plays this piece, note for note, and whether its
// lines are read as what they were written for.
func (p *piece) playedBy(doc *tab.Document, kinds []tab.LineKind) bool {
	if doc.Problems.Has(diag.Error) || len(doc.Lines) < len(kinds) {
		return false
	}
	for i, kind := range kinds {
		if got := doc.Lines[i].Kind; got != kind && !(kind == tab.HeaderLine && i > 0 && got == tab.TextLine) {
			return false
		}
	}
	want := p.meant()
	k := 0
	for _, e := range doc.Unfold().Events {
		if e.Note == nil {
			continue
		}
		if k == len(want) || want[k] != (heard{e.Start, e.Beats, tab.Spell(e.Note, tab.Signs), e.Role}) {
			return false
		}
		k++
	}
	return k == len(want)
}

// meant is what the page should play.
func (p *piece) meant() (out []heard) {
	order, _ := p.tune.Order()
	var start beat.Time
	held := -1 // the note that may go on
	for _, i := range order {
		for _, part := range p.bars[i].parts {
			switch {
			case part.goesOn && held >= 0:
				out[held].beats = out[held].beats.Plus(part.length())
			case part.rest:
				held = -1
			default:
				out = append(out, p.graces(part, start)...)
				n := &p.tune.Notes[part.note]
				h := heard{start.Plus(part.from), part.length(), n.Fingering, tab.Melody}
				if n.Optional {
					h.role = tab.Filler
				}
				held = len(out)
				out = append(out, h)
			}
		}
		start = start.Plus(p.bars[i].length)
	}
	return out
}

func (p *piece) graces(of part, start beat.Time) (out []heard) {
	if p.tune.Notes[of.note].Optional {
		return nil
	}
	for _, g := range of.graces {
		out = append(out, heard{start: start.Plus(of.from), text: p.tune.Notes[g].Fingering, role: tab.Grace})
	}
	return out
}
