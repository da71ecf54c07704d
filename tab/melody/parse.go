package melody

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"reedlark/tab/beat"
)

// MostTyped is the most notes and rests a melody has that [Parse] reads.
const MostTyped = 2000

// longestTyped is the most beats of one typed note.
const longestTyped = 256

// Parse reads a melody as people type it: notes with their octaves and, after a
// colon, their lengths in beats, "C4:1 D4:1/2 r:1 | F#4". A note without a
// length lasts one beat, r is a rest, | a bar line, and a comma may stand
// between notes. A note without an octave is the one nearest to the note before,
// upwards where two are as near, and the first of all lies in octave 4. The
// error names every word that cannot be read and the character it stands at,
// counted from 1.
func Parse(text string) (*Tune, error) {
	r := &typist{before: 64} // so that C to B without an octave come out from C4 to B4
	r.bar(0)
	for _, w := range split(text) {
		if err := r.read(w); err != nil {
			r.wrong = errors.Join(r.wrong, fmt.Errorf("at character %d: %w", w.at, err))
		}
	}
	switch {
	case r.wrong != nil:
		return nil, r.wrong
	case r.count > MostTyped:
		return nil, fmt.Errorf("the melody has %d notes: it may have %d", r.count, MostTyped)
	case len(r.tune.Notes) == 0:
		return nil, errors.New("the melody has no notes: write them with their octaves, as in C4 D4 F#4")
	}
	r.finish()
	return &r.tune, nil
}

// typist reads typed words into a tune.
type typist struct {
	tune   Tune
	before int // the note before, for those without an octave
	count  int
	wrong  error
}

// word is a word and the character it begins at, from 1.
type word struct {
	text string
	at   int
}

// split cuts a text at blanks and commas; every bar line is a word.
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
		if r == '|' {
			words = append(words, word{"|", count})
		}
	}
	return words
}

// read reads one word.
func (r *typist) read(w word) error {
	if w.text == "|" {
		r.bar(w.at)
		return nil
	}
	name, length, timed := strings.Cut(w.text, ":")
	beats := beat.Whole(1)
	if timed {
		var err error
		if beats, err = parseLength(length); err != nil {
			return err
		}
	}
	r.count++
	at := r.tune.Length
	r.tune.Length = at.Plus(beats)
	if name == "r" || name == "R" {
		return nil
	}
	p, err := parseNear(name, r.before)
	if err != nil {
		return err
	}
	r.before = p.Midi
	r.tune.Notes = append(r.tune.Notes, Note{At: at, Length: beats, Pitches: []Pitch{p}, Place: Place{Line: 1, Column: w.at}})
	return nil
}

// bar begins a bar; one without anything in it is none.
func (r *typist) bar(at int) {
	if n := len(r.tune.Bars); n > 0 && r.tune.Bars[n-1].At == r.tune.Length {
		return
	}
	r.tune.Bars = append(r.tune.Bars, Bar{At: r.tune.Length, Place: Place{Line: 1, Column: at}})
}

// finish numbers the bars; a bar line at the end begins none.
func (r *typist) finish() {
	if n := len(r.tune.Bars); n > 1 && r.tune.Bars[n-1].At == r.tune.Length {
		r.tune.Bars = r.tune.Bars[:n-1]
	}
	for i := range r.tune.Bars {
		r.tune.Bars[i].Number = strconv.Itoa(i + 1)
	}
}

// isLength reports whether a length is one that can be typed: 2, 1/2, 1.5, .5.
func isLength(text string) bool {
	whole, part, fraction := strings.Cut(text, "/")
	most := 3
	if !fraction {
		whole, part, fraction = strings.Cut(text, ".")
		most = 6
	}
	digits := func(s string, most int) bool { return s != "" && len(s) <= most && strings.Trim(s, "0123456789") == "" }
	return (digits(whole, 3) || whole == "" && most == 6 && fraction) && (!fraction || digits(part, most))
}

func parseLength(text string) (beat.Time, error) {
	if isLength(text) {
		var beats beat.Time
		if above, below, fraction := strings.Cut(text, "/"); fraction {
			n, _ := strconv.Atoi(above)
			d, _ := strconv.Atoi(below) // 0 makes no beats of it
			beats = beat.Whole(n).Over(d)
		} else {
			x, _ := strconv.ParseFloat(text, 64)
			beats = beat.FromFloat(x)
		}
		if beats.Sign() > 0 && !beat.Whole(longestTyped).Less(beats) {
			return beats, nil
		}
	}
	return beat.Time{}, fmt.Errorf("%q is not a length: write beats up to %d, as in C4:2, C4:1/2 or C4:1.5", text, longestTyped)
}

// parseNear reads a note, without an octave as the one nearest to another note.
func parseNear(text string, before int) (Pitch, error) {
	last, _ := utf8.DecodeLastRuneInString(text)
	if unicode.IsDigit(last) {
		return ParsePitch(text)
	}
	p, err := ParsePitch(text + "4")
	if err != nil {
		_, err = ParsePitch(text) // whose message names what was typed
		return Pitch{}, err
	}
	up := ((p.Midi-before)%12 + 12) % 12
	if up > 6 {
		up -= 12
	}
	octave := 4 + (before+up-p.Midi)/12
	p, err = ParsePitch(strings.TrimSuffix(p.Name, "4") + strconv.Itoa(octave))
	if err != nil {
		return Pitch{}, fmt.Errorf("%q has no octave here that has a name: write one", text)
	}
	return p, nil
}
