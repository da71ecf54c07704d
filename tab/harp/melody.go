package harp

import (
	"errors"
	"fmt"
	"unicode"
	"unicode/utf8"
)

// MaxMelody is the most notes a melody has.
const MaxMelody = 2000

// ParseMelody reads notes with their octaves, `C4 D4 F#4`, with blanks, commas
// or bar lines between them, as MIDI numbers. A note without an octave is the
// one nearest to the note before, upwards where two are as near, and the first
// of all lies in octave 4. The error names every word that is no note and the
// character it stands at, counted from 1.
func ParseMelody(text string) ([]int, error) {
	var melody []int
	var wrong error
	before := 64 // so that C to B without an octave come out from C4 to B4
	words := split(text)
	for _, w := range words {
		midi, err := parseNear(w.text, before)
		if err != nil {
			wrong = errors.Join(wrong, fmt.Errorf("at character %d: %w", w.at, err))
			continue
		}
		melody = append(melody, midi)
		before = midi
	}
	switch {
	case wrong != nil:
		return nil, wrong
	case len(melody) == 0:
		return nil, errors.New("there is no note in it: write notes with their octaves, as in C4 D4 F#4")
	case len(melody) > MaxMelody:
		return nil, fmt.Errorf("there are %d notes in it: a melody may have %d", len(melody), MaxMelody)
	}
	return melody, nil
}

// word is a word and the character it begins at, from 1.
type word struct {
	text string
	at   int
}

func split(text string) (words []word) {
	start, at := -1, 0 // byte and character the word being read began at
	count := 0
	for i, r := range text + " " {
		count++
		apart := unicode.IsSpace(r) || r == ',' || r == '|'
		switch {
		case apart && start >= 0:
			words = append(words, word{text[start:i], at})
			start = -1
		case !apart && start < 0:
			start, at = i, count
		}
	}
	return words
}

// parseNear reads a note, without an octave as the one nearest to another note.
func parseNear(text string, before int) (int, error) {
	last, _ := utf8.DecodeLastRuneInString(text)
	if unicode.IsDigit(last) {
		return ParseNote(text)
	}
	midi, err := ParseNote(text + "4")
	if err != nil {
		_, err = ParseNote(text) // its words name what was typed
		return 0, err
	}
	up, _ := splitOctave(midi - before)
	if up > 6 {
		up -= 12
	}
	if midi = before + up; midi < 0 || midi > 127 {
		return 0, fmt.Errorf("%q has no octave here that has a name: write one", text)
	}
	return midi, nil
}
