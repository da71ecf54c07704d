package harp

import (
	"fmt"
	"strconv"
	"strings"
)

var (
	flatNames  = [12]string{"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"}
	sharpNames = [12]string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}
)

// letterClass is the pitch class of each natural note, semitones above C.
var letterClass = map[string]int{"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

// NoteName is the name of a MIDI note from 0 to 127 with its octave: 60 is C4,
// 70 is Bb4 with flats and A#4 without.
func NoteName(midi int, flats bool) string {
	names := sharpNames
	if flats {
		names = flatNames
	}
	return names[midi%12] + strconv.Itoa(midi/12-1)
}

// ParseNote reads a note with its octave, `C4`, `F#5`, `Bb3`, `Fs5` or `B♭3`,
// in any case, as a MIDI number from 0 (C-1) to 127 (G9).
func ParseNote(s string) (int, error) {
	name := strings.TrimRight(s, "-0123456789")
	octave, err := strconv.Atoi(s[len(name):])
	letter, sign := splitName(name)
	class, ok := letterClass[strings.ToUpper(letter)]
	midi := 12*(octave+1) + class + signs[sign]
	if _, known := signs[sign]; err != nil || !ok || !known || octave < -1 || octave > 9 || midi < 0 || midi > 127 {
		return 0, fmt.Errorf("%q is no note: write a letter from A to G, # or b where it has one, and an octave, as in C4, F#5 or Bb3", s)
	}
	return midi, nil
}

// signs are the semitones by which a sign moves a note.
var signs = map[string]int{"": 0, "#": 1, "b": -1}

// splitName splits a note's name into its letter and its sign, `#` or `b`
// however that was written. Anything else comes back as the sign it is not.
func splitName(name string) (letter, sign string) {
	if name == "" {
		return "", ""
	}
	letter, sign = name[:1], name[1:]
	switch sign {
	case "s", "S", "♯":
		sign = "#"
	case "B", "♭":
		sign = "b"
	}
	return letter, sign
}
