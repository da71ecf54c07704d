package perform

import (
	"fmt"
	"math"
	"time"

	"reedlark/tab/diag"
)

// checkLimits reckons how much would be played before any of it is made.
func (p *player) checkLimits() {
	if p.problems.Has(diag.Error) {
		return
	}
	events := p.inSpan()
	if n := playable(events) * p.set.Repeat; n > p.set.MaxNotes {
		p.problems.Add(diag.Error, diag.TooManyPlayed, placeOf(events), "play a part of it, or fewer rounds",
			"With every repetition this is %d notes, and the limit is %d.", n, p.set.MaxNotes)
	}
	p.checkChords()
	beats := p.beats().Plus(p.countBeats()).Float()
	if seconds := beats * 60 / p.set.Tempo; seconds > p.set.MaxSeconds {
		p.problems.Add(diag.Error, diag.SoundTooLong, placeOf(events), "play a part of it, fewer rounds, or a faster tempo",
			"This would sound for %s, and the limit is %s.", minutes(seconds), minutes(p.set.MaxSeconds))
	}
}

// notesAChord are played at least where a band plays along: a bass and three voices.
const notesAChord = 4

// checkChords counts the chords, so that the band does not play more notes than
// the harp may.
func (p *player) checkChords() {
	most, n := p.set.MaxNotes, 0
	if p.set.Backing == Chords || p.set.Backing == Band {
		most /= notesAChord
	}
	for i := range p.piece.Chords {
		if at := p.piece.Chords[i].At; at.Less(p.to) && !at.Less(p.from) {
			n += p.set.Repeat
		}
	}
	if n > most {
		p.problems.Add(diag.Error, diag.TooManyPlayed, p.piece.Chords[0].Span, "play a part of it, or fewer rounds",
			"With every repetition this is %d chords, and the limit is %d.", n, most)
	}
}

// minutes writes a length as minutes and seconds.
func minutes(seconds float64) string {
	d := time.Duration(math.Round(seconds)) * time.Second
	return fmt.Sprintf("%d:%02d minutes", int(d.Minutes()), int(d.Seconds())%60)
}
