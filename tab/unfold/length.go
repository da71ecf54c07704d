package unfold

import (
	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// wholeBeat is what a note lasts that nothing makes longer or shorter.
var wholeBeat = beat.Whole(1)

// halfBeat is where the second of two equal parts of a beat begins.
var halfBeat = wholeBeat.Over(2)

// checkLengths reports notes held for longer than anyone can blow.
func (p *page) checkLengths() {
	limit := beat.Whole(p.limits.NoteBeats)
	var note *item
	var sum beat.Time
	for _, r := range p.rows {
		for i := range r.items {
			it := &r.items[i]
			if it.Sounding() {
				note, sum = it, beat.Time{}
			}
			sum = sum.Plus(it.beats)
			if note != nil && limit.Less(sum) {
				p.Add(diag.Error, diag.NoteTooLong, note.Span, "Hold it for less.", "A note lasts "+limit.String()+" beats at most.")
				note = nil
			}
		}
	}
}
