// Package melody is a tune without an instrument: what a score file says, in
// the terms of music and not of any file format.
//
// Time is counted in quarter notes from the first bar line, exactly. A tune is
// written once, in the order of the page: its notes and chord symbols lie on
// one line of time, and its bars cut that line. What is played again is said
// at the bars (repeats, endings, D.C.), and [Tune.Order] follows these signs.
//
// A note is one attack. Notes that the file ties are one note here, however
// many bar lines they cross; what no note covers is silence, so there are no
// rests. Grace notes have no length and stand at the time of the note they
// lean on.
//
// Readers of files make a tune; tab/arrange puts it on a harp. Every element
// keeps its place in the file, so that a message can name it.
package melody

import (
	"strconv"

	"reedlark/tab/beat"
)

// Tune is one melody.
type Tune struct {
	Title      string
	Part       string  // name of the part or voice it was taken from; "" where it has none
	Instrument string  // what the file calls the instrument; "" where it does not say
	Tempo      float64 // quarter notes a minute; 0 where the file is silent
	Swing      float64 // where the half of a beat falls, 0.5 to 0.75; 0 where nothing is said
	Key        *Key    // of the file; nil where it is silent
	Bars       []Bar   // ascending, the first at 0; never empty in a tune that has notes
	Notes      []Note  // ascending
	Chords     []Chord // ascending
	Length     beat.Time
	Verses     int      // how many verses the words have
	Remarks    []string // what was taken, left out or guessed, a sentence each
}

// UsualSwing is the swing of a score that only says so: long and short as two to
// one. Common practice, no source.
const UsualSwing = 0.67

// Key is a key signature with its mode.
type Key struct {
	Fifths int // sharps, or flats below zero: -7 to 7
	Tonic  int // pitch class of the key note, semitones above C
}

// Minor is the key note of a minor key with this many sharps, or flats below
// zero, as a pitch class.
func Minor(fifths int) int { return Major(fifths + 3) }

// Major is the key note of a major key with this many sharps, or flats below
// zero, as a pitch class.
func Major(fifths int) int { return ((fifths*7)%12 + 12) % 12 }

// Metre is a time signature; the zero Metre is none.
type Metre struct{ Beats, Unit int }

// Length is that of a bar in quarters; 0 without a metre.
func (m Metre) Length() beat.Time {
	if m.Unit == 0 {
		return beat.Time{}
	}
	return beat.Whole(4 * m.Beats).Over(m.Unit)
}

// String is the metre as it is written, "6/8".
func (m Metre) String() string { return strconv.Itoa(m.Beats) + "/" + strconv.Itoa(m.Unit) }

// Place is where in the file an element stands; the zero Place is unknown.
type Place struct {
	Line   int // from 1; in a MIDI file the tick
	Column int // byte of the line, from 1; 0 where the format has no columns
}

// Note is one attack: a note, or a chord played together.
type Note struct {
	At, Length beat.Time // quarters; a grace note has the Length 0
	Pitches    []Pitch   // the lowest first, each once; never empty
	Grace      bool
	Optional   bool     // written in brackets
	Breath     bool     // a breath or phrase mark stands after it
	Words      []string // by verse; "" for none, a hyphen at the end where the word goes on
	Slide      Slide
	Shake      bool   // a vibrato, or a trill between two notes
	Fingering  string // how the file says it is played on its instrument; "" where it does not
	Place      Place
}

// Slide says how the pitch of a note comes or goes.
type Slide struct {
	To   bool // it slides on to the next note
	In   bool // it is slid into from nowhere in particular
	Fall bool // it falls off at its end
}

// End is where a note ends.
func (n *Note) End() beat.Time { return n.At.Plus(n.Length) }

// Top is the highest of the pitches.
func (n *Note) Top() Pitch { return n.Pitches[len(n.Pitches)-1] }

// Pitch is a note as it sounds.
type Pitch struct {
	Midi int    // 0 to 127
	Name string // as the file spells it, "Eb5"
}

// Chord is a chord symbol over the melody.
type Chord struct {
	At     beat.Time // quarters
	Symbol string    // as musicians write it, "Am7"; "N.C." for none
}

// Bar is one bar as it is written.
type Bar struct {
	At      beat.Time
	Number  string // as printed; "0" for a pick-up
	Metre   Metre  // that holds here
	Place   Place
	Section string // a name that heads it

	Open    bool  // a repeat begins here
	Close   int   // a repeat ends after it: how many times it is played, from 2; 0 where none ends
	Endings []int // an ending begins here: in which passes it is played
	Stop    bool  // an ending ends after it
	Double  bool  // a double bar line stands after it

	Segno, Coda bool // these signs stand at its start
	ToCoda      bool // "to coda" stands at its end
	Fine        bool // "fine" stands at its end
	Jump        Jump // stands at its end
}

// Jump is where the playing goes on after a bar.
type Jump struct {
	From  JumpFrom
	Until JumpUntil
}

// JumpFrom is the place a jump goes back to.
type JumpFrom string

// The places a jump goes back to.
const (
	NoJump   JumpFrom = ""
	DaCapo   JumpFrom = "D.C."
	DalSegno JumpFrom = "D.S."
)

// JumpUntil is how far the playing goes after a jump.
type JumpUntil string

// How far the playing goes after a jump.
const (
	ToEnd  JumpUntil = ""
	AlFine JumpUntil = "al Fine"
	AlCoda JumpUntil = "al Coda"
)

// String is the jump as it is written, "D.C. al Fine"; "" for none.
func (j Jump) String() string {
	if j.Until == ToEnd {
		return string(j.From)
	}
	return string(j.From) + " " + string(j.Until)
}

// BarAt is the index of the bar that a time lies in.
func (t *Tune) BarAt(at beat.Time) int {
	low, high := 0, len(t.Bars)
	for low < high {
		middle := (low + high) / 2
		if at.Less(t.Bars[middle].At) {
			high = middle
		} else {
			low = middle + 1
		}
	}
	return max(low-1, 0)
}

// BarEnd is where a bar ends.
func (t *Tune) BarEnd(i int) beat.Time {
	if i+1 < len(t.Bars) {
		return t.Bars[i+1].At
	}
	return t.Length
}

// Sung says whether any note has words.
func (t *Tune) Sung() bool {
	for i := range t.Notes {
		for _, w := range t.Notes[i].Words {
			if w != "" {
				return true
			}
		}
	}
	return false
}
