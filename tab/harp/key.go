package harp

import (
	"fmt"
	"slices"
	"strings"
)

// Key is the key a harp is labelled with, its first position, and the octave
// it lies in. The zero Key is a harp in C.
type Key struct {
	class  int // semitones above C, 0 to 11
	octave int // -1 low, 0 usual, 1 high
}

// keyNames are the names of the twelve keys, by semitones above C.
var keyNames = [12]string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// otherNames are the same keys spelled the other way, for reading only.
var otherNames = map[string]int{"C#": 1, "D#": 3, "Gb": 6, "G#": 8, "A#": 10}

// registers are the words for the octaves, and the octaves themselves.
var registers = map[string]int{"low": -1, "high": 1}

// Registers lists the words that may stand before a key: low is an octave
// under the usual harp of that key, high an octave over.
func Registers() []string { return []string{"low", "high"} }

// Keys lists the twelve keys in their usual registers, from C up.
func Keys() []Key {
	keys := make([]Key, len(keyNames))
	for class := range keyNames {
		keys[class] = Key{class: class}
	}
	return keys
}

// KeyNames lists the names of [Keys].
func KeyNames() []string { return slices.Clone(keyNames[:]) }

// ParseKey reads the key of a harp: `C`, `Db`, `C#`, `Cs`, `C♯` or `D♭` in any
// case, with `low` or `high` and a blank or a dash before it where the register
// is not the usual one. The error says what is allowed.
func ParseKey(s string) (Key, error) {
	words := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\t' || r == '-' })
	octave := 0
	if len(words) == 2 {
		octave = registers[strings.ToLower(words[0])]
	}
	if len(words) == 0 || len(words) > 2 || (len(words) == 2 && octave == 0) {
		return Key{}, keyError(s)
	}
	class, ok := keyClass(words[len(words)-1])
	if !ok {
		return Key{}, keyError(s)
	}
	return Key{class, octave}, nil
}

// keyClass finds a key name in either spelling.
func keyClass(name string) (int, bool) {
	letter, sign := splitName(name)
	name = strings.ToUpper(letter) + sign
	if i := slices.Index(keyNames[:], name); i >= 0 {
		return i, true
	}
	class, ok := otherNames[name]
	return class, ok
}

func keyError(s string) error {
	return fmt.Errorf("there is no harp in %q: write one of %s (C# for Db and so on), with low or high before it for another octave",
		s, list(KeyNames()))
}

// String is the name of the harp: "C", "Db", "F#", "low F", "high G". Sharps
// and flats of one key are one harp and have one name.
func (k Key) String() string {
	name := keyNames[k.class]
	for word, octave := range registers {
		if octave == k.octave {
			return word + " " + name
		}
	}
	return name
}

// Tonic is the MIDI note of hole-1 blow. The usual harps run from G3 (55) up to
// F#4 (66); makers agree on it (common practice, no source).
func (k Key) Tonic() int {
	tonic := layoutTonic + k.class + 12*k.octave
	if k.class >= 7 { // from G on the usual harp lies under the C harp
		tonic -= 12
	}
	return tonic
}

// SongKey is the key of a song played in a position from 1 to 12: each
// position lies a fifth above the one before (common practice, no source).
func (k Key) SongKey(position int) string {
	return keyNames[(k.class+7*(position-1))%12]
}

// HarpFor is the harp, in its usual register, on which a song in this key is
// played in a position from 1 to 12: second position on a harp in C is in G.
func (k Key) HarpFor(position int) Key {
	return Key{class: (k.class + 5*(position-1)) % 12}
}

// transposition is how far the harp lies above one in C, in semitones.
func (k Key) transposition() int { return k.Tonic() - layoutTonic }

// flats says that the harp's notes are spelled with flats: C, and the keys that
// have flats in their signature.
func (k Key) flats() bool {
	return slices.Contains([]string{"C", "F", "Bb", "Eb", "Ab", "Db"}, keyNames[k.class])
}

// list writes out what may be chosen from.
func list(words []string) string { return strings.Join(words, ", ") }

// NoteName is the name of a MIDI note as this harp spells it: "Bb4" on a harp
// in F, "A#4" on one in A.
func (k Key) NoteName(midi int) string { return NoteName(midi, k.flats()) }
