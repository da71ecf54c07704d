package synth

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/tab/score"
)

// phrase is notes whose sound is not broken: a first one, and the tied ones
// after it, on the same reeds.
type phrase struct {
	notes []score.Note
	// after is the note that follows at once; nil before a rest.
	after *score.Note
	// before is the note that ends where this begins; nil after a rest.
	before *score.Note
}

// touching is the longest rest that is none, seconds.
const touching = 0.001

// phraseAt is the phrase that note i begins.
func phraseAt(notes []score.Note, i int) phrase {
	end := i + 1
	for end < len(notes) && notes[end].Onset == score.Tied && touch(&notes[end-1], &notes[end]) {
		end++
	}
	ph := phrase{notes: notes[i:end]}
	if end < len(notes) && touch(&notes[end-1], &notes[end]) {
		ph.after = &notes[end]
	}
	if i > 0 && touch(&notes[i-1], &notes[i]) {
		ph.before = &notes[i-1]
	}
	return ph
}

func touch(a, b *score.Note) bool {
	d := b.Start - (a.Start + a.Seconds)
	return d > -touching && d < touching
}

func (p phrase) first() *score.Note { return &p.notes[0] }
func (p phrase) last() *score.Note  { return &p.notes[len(p.notes)-1] }

// ends is when the next note may begin, seconds.
func (p phrase) ends() float64 { return p.last().Start + p.last().Seconds }

func (p phrase) seconds() float64 { return p.ends() - p.first().Start }

// joins says that note b takes over from note a without a break.
func joins(a, b *score.Note) bool {
	return a != nil && b != nil && (b.Onset == score.Legato || b.Onset == score.Passed)
}

// How long a hand-over takes, seconds: the farther the mouth has to travel, the
// longer. ref: 8 to 15 ms, common practice, no source, whether all of it is meant
// or what lies between a tenth and nine tenths, 0.65 of it; by ear: the travel.
const (
	handLeast  = 0.0135
	handOctave = 0.001 // more for each octave between the two
	handMost   = 0.015
)

// handOver is how long note b takes to take over from note a, seconds; less
// between very short notes.
func handOver(a, b *score.Note) float64 {
	octaves := math.Abs(dsp.Log2(lowest(b) / lowest(a)))
	return min(handLeast+float64(handOctave*octaves), handMost, a.Seconds/2, b.Seconds/2)
}

// handEarly is the part of a hand-over before the beat, so that the new note
// passes -10 dB, sin(πx/2) = 0.316, on it.
const handEarly = 0.205
