package melody

import (
	"fmt"
	"strconv"
	"strings"
)

// steps are the natural notes, semitones above C.
var steps = map[byte]int{'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}

// NewPitch is the note on a step from A to G, altered by semitones, in an
// octave (C4 is middle C). ok is false for what is no step, and for what MIDI
// has no number for.
func NewPitch(step byte, alter, octave int) (p Pitch, ok bool) {
	class, known := steps[step]
	if !known || alter < -3 || alter > 3 || octave < -2 || octave > 10 {
		return Pitch{}, false
	}
	sign := strings.Repeat("#", max(alter, 0)) + strings.Repeat("b", max(-alter, 0))
	p = Pitch{Midi: 12*(octave+1) + class + alter, Name: string(step) + sign + strconv.Itoa(octave)}
	return p, p.Midi >= 0 && p.Midi <= 127
}

// sharps and flats name the notes of an octave.
var (
	sharps = [12]string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}
	flats  = [12]string{"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"}
)

// FromMidi is a MIDI note from 0 to 127, spelled as a key has it: with flats
// where its signature has flats or nothing.
func FromMidi(midi, fifths int) Pitch {
	names := flats
	if fifths > 0 {
		names = sharps
	}
	return Pitch{Midi: midi, Name: names[midi%12] + strconv.Itoa(midi/12-1)}
}

// ParsePitch reads a note with its octave, "C4", "F#5", "Bb3" or "B♭3", in any
// case.
func ParsePitch(s string) (Pitch, error) {
	name := strings.TrimRight(s, "-0123456789")
	octave, err := strconv.Atoi(s[len(name):])
	if err == nil && name != "" {
		if alter, known := alterations[name[1:]]; known {
			if p, ok := NewPitch(strings.ToUpper(name[:1])[0], alter, octave); ok {
				return p, nil
			}
		}
	}
	return Pitch{}, fmt.Errorf("%q is not a note: write a letter from A to G, # or b where it has one, and an octave, as in C4, F#5 or Bb3", s)
}

// alterations are the signs behind a letter, as people type them.
var alterations = map[string]int{"": 0, "#": 1, "s": 1, "S": 1, "♯": 1, "b": -1, "B": -1, "♭": -1, "##": 2, "bb": -2}
