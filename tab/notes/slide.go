package notes

import (
	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// phrase is what a slide must know of its phrase.
type phrase struct {
	last  *Item // the note before
	slide *Item // a slide that has not landed yet
	from  *Item // the note it leaves
}

// settleSlides gives the notes of a row their slides. A phrase ends
// at a breath, a rest, a repeat sign and the line's end; bar lines do not end it.
func (p *reader) settleSlides(r *Row) {
	var ph phrase
	for i := range r.Items {
		switch it := &r.Items[i]; it.Kind {
		case scan.Slide:
			p.slides(&ph, it)
		case scan.Note:
			ph.lands(it)
		case scan.Rest, scan.Comma, scan.OpenRepeat, scan.CloseRepeat:
			p.fallsOff(r, &ph)
		}
	}
	p.fallsOff(r, &ph)
}

// slides begins a slide.
func (p *reader) slides(ph *phrase, it *Item) {
	if ph.slide != nil {
		p.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.SlideTwice, Span: it.Span,
			Message: "Two slides follow each other without a note between them, so the second is left out.",
			Hint:    "Write one.",
			Edits:   func(e *diag.Editor) { e.TakeOut().Keep() },
		})
		return
	}
	ph.slide, ph.from = it, ph.last
}

// lands ends a slide at a note.
func (ph *phrase) lands(it *Item) {
	if ph.slide != nil {
		at := ph.slide.Span
		switch {
		case ph.from == nil && it.Note != nil:
			it.Note.SlideIn = &at
		case ph.from != nil && ph.from.Note != nil:
			ph.from.Note.SlideTo = &at
		}
	}
	ph.last, ph.slide = it, nil
}

// fallsOff ends a phrase, and with it a slide that has not landed.
func (p *reader) fallsOff(r *Row, ph *phrase) {
	if ph.slide != nil {
		at := ph.slide.Span
		switch {
		case ph.from == nil && !r.Doubt:
			p.Report(diag.Problem{
				Severity: diag.Warning, Code: diag.SlideAlone, Span: at,
				Message: "This slide touches no note, so it is left out.",
				Hint:    "Write it beside a note, as in 4 -> 6.",
				Edits:   func(e *diag.Editor) { e.TakeOut().Keep() },
			})
		case ph.from != nil && ph.from.Note != nil:
			ph.from.Note.SlideOff = &at
		}
	}
	*ph = phrase{}
}
