// Package harp is the ten-hole diatonic harmonica as facts: which pitch sounds
// when a hole is blown or drawn, plain, bent or overblown, in any key, layout
// and tuning.
//
// A hole holds two reeds, one blown and one drawn. Everything else follows from
// those two: only the higher reed bends, down to a semitone above the lower
// one; an over makes the higher reed sound a semitone above itself, on the
// breath of the lower one. So a harp is a key (the note of hole-1 blow), a
// layout (the twenty reeds of a harp in C), a tuning (how far the reeds lie
// from equal temperament) and the pitch of A4.
//
// Holes are counted from 1, pitches are hertz, and notes are MIDI numbers
// (60 is C4, middle C; 69 is A4).
package harp

import (
	"fmt"
	"math"
)

// Holes is the number of holes of every harp.
const Holes = 10

// The range of A4, hertz: from historical low pitch to the brightest factory
// tunings with room to spare.
const (
	MinA4 = 415.0
	MaxA4 = 466.0
)

// Breath is the direction the air moves.
type Breath string

// The two breaths.
const (
	Blow Breath = "blow"
	Draw Breath = "draw"
)

// Other is the opposite breath.
func (b Breath) Other() Breath {
	if b == Blow {
		return Draw
	}
	return Blow
}

// Technique is how a reed comes to its pitch.
type Technique string

// The techniques. Over is an overblow or an overdraw, as the breath says.
const (
	Plain Technique = "plain"
	Bend  Technique = "bend"
	Over  Technique = "over"
)

// Harp is one instrument. Make it with [New].
type Harp struct {
	Key    Key
	Layout Layout
	Tuning Tuning
	A4     float64 // Hz
}

// New puts a harp together. It fails when a4 is not from 415 to 466 Hz, and on
// a layout or a tuning that was not made by this package.
func New(key Key, layout Layout, tuning Tuning, a4 float64) (Harp, error) {
	if !(a4 >= MinA4 && a4 <= MaxA4) {
		return Harp{}, fmt.Errorf("A4 is from %g to %g Hz, not %g", MinA4, MaxA4, a4)
	}
	if layout.Name == "" {
		return Harp{}, fmt.Errorf("a harp needs a layout: %s", list(Layouts()))
	}
	if _, err := ParseTuning(string(tuning)); err != nil {
		return Harp{}, err
	}
	return Harp{key, layout, tuning, a4}, nil
}

// Pitch is the pitch of one sound of a harp.
type Pitch struct {
	Name  string  // "Bb4": flats on flat harps and C, sharps on the others
	Midi  int     // the note it is meant to be, whatever the tuning and A4
	Cents float64 // how far Hz lies from that note at A4 = 440
	Hz    float64
	// ReedHz is the pitch of the unbent reed for a bend, else equal to Hz.
	ReedHz float64
}

// Sound is the pitch of a hole from 1 to 10 on a breath. semitones is the depth
// of a bend and is ignored for the other techniques.
//
// It answers for every depth and for an over anywhere, playable or not: an
// impossible bend lies as deep as it is asked to, and an over a semitone above
// the reed of the other breath, which is the reed an over makes speak. What can
// be played is told by [Layout.Depth] and [Layout.Over].
func (h Harp) Sound(hole int, breath Breath, technique Technique, semitones int) Pitch {
	switch technique {
	case Bend:
		p := h.pitch(hole, breath, -semitones)
		p.ReedHz = h.reedHz(hole, breath)
		return p
	case Over:
		return h.pitch(hole, breath.Other(), 1)
	default:
		return h.pitch(hole, breath, 0)
	}
}

// pitch is that of a reed moved by whole equal semitones from where it is tuned.
func (h Harp) pitch(hole int, breath Breath, moved int) Pitch {
	midi := h.Layout.reed(hole, breath) + h.Key.transposition() + moved
	hz := h.reedHz(hole, breath) * semitones(moved)
	return Pitch{
		Name:   h.Key.NoteName(midi),
		Midi:   midi,
		Cents:  1200 * math.Log2(hz/equalHz(midi, concertA4)),
		Hz:     hz,
		ReedHz: hz,
	}
}

// reedHz is the pitch a reed is tuned to. The harp's own key note keeps its
// equal-tempered pitch; the tuning moves the others against it.
func (h Harp) reedHz(hole int, breath Breath) float64 {
	reed := h.Layout.reed(hole, breath)
	if h.Tuning == Equal { // in one step, so that A4 is 440 Hz and not a hair less
		return equalHz(reed+h.Key.transposition(), h.A4)
	}
	fromTonic := reed - layoutTonic
	tonic := equalHz(h.Key.Tonic(), h.A4)
	return tonic * h.Tuning.ratio(fromTonic, breath)
}

// concertA4 is the pitch cents are counted from. ref: ISO 16:1975.
const concertA4 = 440.0

// equalHz is the equal-tempered pitch of a MIDI note. ref: MIDI Tuning Standard.
func equalHz(midi int, a4 float64) float64 { return a4 * semitones(midi-69) }

// twelfths are 2^(n/12), written out so that every machine has the same bits:
// the library's 2^x is not the same code everywhere.
var twelfths = [12]float64{
	1, 1.0594630943592953, 1.122462048309373, 1.189207115002721, 1.2599210498948732, 1.3348398541700344,
	1.4142135623730951, 1.4983070768766815, 1.5874010519681996, 1.681792830507429, 1.7817974362806785, 1.887748625363387,
}

// semitones is the ratio of n equal semitones.
func semitones(n int) float64 {
	class, octave := splitOctave(n)
	return math.Ldexp(twelfths[class], octave)
}

// splitOctave is an interval in semitones as whole octaves and the rest, 0 to 11.
func splitOctave(n int) (class, octave int) {
	class = (n%12 + 12) % 12
	return class, (n - class) / 12
}
