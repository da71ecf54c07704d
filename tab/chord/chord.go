package chord

import (
	"fmt"
	"slices"
	"strings"
)

// Chord is what a symbol names. The zero Chord is a triad of C without notes.
type Chord struct {
	Symbol string // as written
	Root   int    // semitones above C, 0 to 11
	Bass   int    // the lowest note, likewise; the root where no slash says otherwise
	Tones  []int  // semitones above the root, 0 to 11, root first, then as they are stacked
	Silent bool   // N.C.: nothing is played
}

// Longest is the most characters a symbol has.
const Longest = 24

// Parse reads a symbol such as Am7, F#m7b5, D/F# or N.C. The error, an
// *Unknown, says which symbol is nearest to one that is none.
func Parse(symbol string) (Chord, error) {
	if silent(symbol) {
		return Chord{Symbol: symbol, Silent: true}, nil
	}
	root, quality, ok := readRoot(symbol)
	if !ok || len(symbol) > Longest*3 {
		return Chord{}, &Unknown{symbol, Nearest(symbol)}
	}
	quality, bass, ok := readBass(quality, root)
	if !ok {
		return Chord{}, &Unknown{symbol, Nearest(symbol)}
	}
	tones, ok := readQuality(quality)
	if !ok {
		return Chord{}, &Unknown{symbol, Nearest(symbol)}
	}
	return Chord{Symbol: symbol, Root: root, Bass: bass, Tones: tones}, nil
}

// Unknown is a symbol that is no chord.
type Unknown struct{ Symbol, Nearest string }

func (u *Unknown) Error() string {
	return fmt.Sprintf("%q is no chord; the nearest is %s", u.Symbol, u.Nearest)
}

// silent says that a symbol means no chord.
func silent(symbol string) bool {
	return slices.Contains([]string{"N.C.", "N.C", "NC", "n.c.", "nc", "N/C"}, symbol)
}

// Same says that two chords sound alike.
func (c Chord) Same(d Chord) bool {
	return c.Silent == d.Silent && c.Root == d.Root && c.Bass == d.Bass && slices.Equal(c.Tones, d.Tones)
}

// names are those of the twelve notes, as roots of chords are most often spelled.
var names = [12]string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// Moved is the chord so many semitones higher, its symbol with it.
func (c Chord) Moved(semitones int) Chord {
	semitones = (semitones%12 + 12) % 12
	if semitones == 0 || c.Silent {
		return c
	}
	_, quality, _ := readRoot(c.Symbol)
	slashed := c.Bass != c.Root
	c.Root, c.Bass = (c.Root+semitones)%12, (c.Bass+semitones)%12
	if slashed {
		quality = quality[:strings.LastIndexByte(quality, '/')+1] + names[c.Bass]
	}
	c.Symbol = names[c.Root] + quality
	return c
}

// letters are the natural notes, semitones above C.
var letters = map[byte]int{'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}

// signs raise and lower a note by a semitone.
var signs = []struct {
	sign string
	by   int
}{{"#", 1}, {"♯", 1}, {"b", -1}, {"♭", -1}}

// readRoot reads a note from the head of a text; rest is what follows.
func readRoot(text string) (class int, rest string, ok bool) {
	if text == "" {
		return 0, "", false
	}
	class, ok = letters[text[0]]
	rest = text[1:]
	for _, s := range signs {
		if len(rest) >= len(s.sign) && rest[:len(s.sign)] == s.sign {
			return (class + s.by + 12) % 12, rest[len(s.sign):], ok
		}
	}
	return class, rest, ok
}

// readBass takes a slash and a bass note off the end of a quality. 6/9 has a
// slash of its own.
func readBass(text string, root int) (quality string, bass int, ok bool) {
	for i := len(text) - 1; i >= 0; i-- {
		if text[i] != '/' {
			continue
		}
		if text[i+1:] == "9" {
			return text, root, true
		}
		class, rest, ok := readRoot(text[i+1:])
		return text[:i], class, ok && rest == ""
	}
	return text, root, true
}
