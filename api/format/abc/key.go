package abc

import (
	"regexp"
	"strconv"
	"strings"

	"reedlark/tab/melody"
)

// key is a key signature: by how many semitones each letter is altered.
type key struct {
	alter  [7]int // C D E F G A B
	fifths int
	tonic  int // pitch class; -1 for none
	given  bool
}

// named is the key as a tune has it; nil for none.
func (k key) named() *melody.Key {
	if !k.given || k.tonic < 0 {
		return nil
	}
	return &melody.Key{Fifths: k.fifths, Tonic: k.tonic}
}

// modes are how many fifths below the major key on the same note a mode's
// signature lies, by its first three letters. ref: 2.1, section 3.1.14.
var modes = map[string]int{"": 0, "maj": 0, "ion": 0, "mix": 1, "dor": 2, "m": 3, "min": 3, "aeo": 3, "phr": 4, "loc": 5, "lyd": -1}

// circle are the letters in the order in which signatures sharpen them.
const circle = "FCGDAEB"

// letterIndex is the index of a letter in key.alter.
func letterIndex(letter byte) int { return strings.IndexByte("CDEFGAB", letter) }

// keyName is a tonic with its mode, and what follows.
var keyName = regexp.MustCompile(`^([A-G])([#b♯♭]?)\s*([A-Za-z]*)(.*)$`)

// setKey reads K:. ref: 2.1, section 3.1.14.
func (r *reader) setKey(text string) {
	s := r.state()
	options := properties(text)
	if k, ok := parseKey(text); ok {
		s.key = k
	} else if !r.inBody {
		s.key = key{tonic: -1}
	}
	s.shift(text, options)
	if !r.inBody {
		r.header = *s
		r.beginBody()
	}
}

// parseKey reads a signature; ok is false where there is none, as in K:clef=bass.
func parseKey(text string) (key, bool) {
	k := key{given: true, tonic: -1}
	switch first, _, _ := strings.Cut(text, " "); {
	case first == "HP" || first == "Hp": // bagpipes: the one does not print what both play
		k.sharpen(2)
		k.tonic = 9
		return k, true
	case strings.EqualFold(first, "none"):
		k.explicit(text)
		return k, true
	}
	m := keyName.FindStringSubmatch(text)
	if m == nil {
		k.explicit(text)
		return k, strings.ContainsAny(text, "^_=") && !strings.Contains(text, "=b") && len(text) > 0 && strings.ContainsRune("^_=", rune(text[0]))
	}
	mode := strings.ToLower(m[3])
	down, known := modes[mode[:min(3, len(mode))]]
	if !known {
		down, m[4] = 0, m[3]+m[4] // a clef or a property
	}
	sharps := strings.IndexByte(circle, m[1][0]) - 1
	k.tonic = semitones[letterIndex(m[1][0])]
	switch m[2] {
	case "#", "♯":
		sharps, k.tonic = sharps+7, k.tonic+1
	case "b", "♭":
		sharps, k.tonic = sharps-7, k.tonic+11
	}
	k.tonic %= 12
	if mode == "exp" {
		sharps, down = 0, 0
	}
	k.sharpen(sharps - down)
	k.explicit(m[4])
	return k, true
}

// semitones are the letters C to B above C.
var semitones = [7]int{0, 2, 4, 5, 7, 9, 11}

// sharpen makes the signature of so many sharps, or flats below zero.
func (k *key) sharpen(n int) {
	k.fifths = n
	for i := 0; i < n; i++ {
		k.alter[letterIndex(circle[i%7])]++
	}
	for i := 0; i < -n; i++ {
		k.alter[letterIndex(circle[6-i%7])]--
	}
}

// explicits are accidentals of their own in a signature, such as ^f or _B.
var explicits = regexp.MustCompile(`(\^\^|\^|__|_|=)([A-Ga-g])`)

func (k *key) explicit(text string) {
	for _, m := range explicits.FindAllStringSubmatch(property.ReplaceAllString(text, ""), -1) {
		k.alter[letterIndex(strings.ToUpper(m[2])[0])] = signs[m[1]]
	}
}

// signs are the accidentals.
var signs = map[string]int{"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}

// clefOctave is a clef that moves the notes by octaves, as treble-8.
var clefOctave = regexp.MustCompile(`[a-z0-9]([+-])(8|15)\b`)

// shift reads what moves notes: octave=, transpose=, and clefs an octave off.
func (s *settings) shift(text string, options map[string]string) {
	if n, err := strconv.Atoi(options["octave"]); err == nil && n >= -4 && n <= 4 {
		s.octave = n
	}
	if n, err := strconv.Atoi(options["transpose"]); err == nil && n >= -48 && n <= 48 {
		s.transpose = n
	}
	if m := clefOctave.FindStringSubmatch(text); m != nil {
		by := map[string]int{"8": 1, "15": 2}[m[2]]
		if m[1] == "-" {
			by = -by
		}
		s.octave = by
	}
}
