package tab

import "reedlark/tab/diag"

// phrase is what a slide must know of the phrase it stands in.
type phrase struct {
	last  *item // the note before
	slide *item // a slide that has not landed yet
	from  *item // the note it leaves
}

// settleSlides tells the notes of a row where slides touch them. A phrase ends
// at a breath, a rest, a repeat sign and the line's end; bar lines do not end it.
func (p *page) settleSlides(r *row) {
	var ph phrase
	for i := range r.items {
		switch it := &r.items[i]; it.kind {
		case slideItem:
			p.slides(&ph, it)
		case noteItem:
			ph.lands(it)
		case restItem, breathItem, openRepeat, closeRepeat:
			p.fallsOff(r, &ph)
		}
	}
	p.fallsOff(r, &ph)
}

// slides begins a slide.
func (p *page) slides(ph *phrase, it *item) {
	if ph.slide != nil {
		p.add(diag.Warning, diag.SlideTwice, it.span, "Write one.", "Two slides follow each other without a note between them, so the second is left out.")
		return
	}
	ph.slide, ph.from = it, ph.last
}

// lands ends a slide at a note.
func (ph *phrase) lands(it *item) {
	if ph.slide != nil {
		at := ph.slide.span
		switch {
		case ph.from == nil && it.note != nil:
			it.note.SlideIn = &at
		case ph.from != nil && ph.from.note != nil:
			ph.from.note.SlideTo = &at
		}
	}
	ph.last, ph.slide = it, nil
}

// fallsOff ends a phrase, and with it a slide that has not landed.
func (p *page) fallsOff(r *row, ph *phrase) {
	if ph.slide != nil {
		at := ph.slide.span
		switch {
		case ph.from == nil && !r.doubt:
			p.add(diag.Warning, diag.SlideAlone, at, "Write it beside a note, as in 4 -> 6.", "This slide touches no note, so it is left out.")
		case ph.from != nil && ph.from.note != nil:
			ph.from.note.SlideOff = &at
		}
	}
	*ph = phrase{}
}
