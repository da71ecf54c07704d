package abc

import (
	"strings"
	"unicode/utf8"

	"reedlark/tab/melody"
)

// line is a line of music being read.
type line struct {
	*reader
	text     string
	i        int
	grace    bool
	unclosed string // the closing brackets that no longer come
}

// music reads a line of music.
func (r *reader) music(text string) {
	l := &line{reader: r, text: text}
	v := r.voice()
	if r.verses > 0 || !r.continued {
		v.sung, v.sungBars = nil, nil
	}
	r.verses = 0
	r.continued = strings.HasSuffix(text, "\\")
	for l.i < len(l.text) {
		l.next()
	}
}

// at is what stands next; 0 at the end.
func (l *line) at(k int) byte {
	if l.i+k < len(l.text) {
		return l.text[l.i+k]
	}
	return 0
}

// next reads one element.
func (l *line) next() {
	c := l.at(0)
	switch {
	case strings.IndexByte("abcdefgABCDEFG^_=", c) >= 0:
		l.note()
	case c == 'z' || c == 'x' || c == 'Z' || c == 'X':
		l.rest()
	case c == '|' || c == ':' || c == '.' && l.at(1) == '|':
		l.bars()
	case c == '[':
		l.bracket()
	case c == '"':
		l.quoted()
	case c == '!' || c == '+':
		l.decoration(c)
	case c == '{':
		l.graces()
	case c == '(':
		l.open()
	case c == '>' || c == '<':
		l.broken()
	default:
		l.other(c)
	}
}

func (l *line) v() *voice { return l.voice() }

// other reads what is one character.
func (l *line) other(c byte) {
	l.i++
	switch {
	case c == '-':
		l.v().tied = true
	case c == ')':
		l.v().inSlur = max(l.v().inSlur-1, 0)
	case c == '&':
		l.overlay()
	case strings.IndexByte(" \t`\\$y*;~.?@}]", c) >= 0:
	case c >= 'h' && c <= 'w' || c >= 'H' && c <= 'W':
		if meaning, known := l.symbols[c]; known {
			l.decorate(meaning)
		}
	default:
		l.i--
		_, size := utf8.DecodeRuneInString(l.text[l.i:])
		l.remark("“%s” is no music and is passed over", l.text[l.i:l.i+size])
		l.i += size
	}
}

// closing is where a bracket closes, counted from here; -1 for nowhere. What is not
// found once is not looked for again on the line.
func (l *line) closing(bracket byte) int {
	if strings.IndexByte(l.unclosed, bracket) >= 0 {
		return -1
	}
	end := strings.IndexByte(l.text[l.i:], bracket)
	if end < 0 {
		l.unclosed += string(bracket)
	}
	return end
}

// number reads digits; 0 for none, and for more than notation has.
func (l *line) number() int {
	n := 0
	for ; l.at(0) >= '0' && l.at(0) <= '9'; l.i++ {
		if n = 10*n + int(l.at(0)-'0'); n > 4096 {
			n = 4096
		}
	}
	return n
}

// duration reads the length after a note: 2, /, //, 3/2.
func (l *line) duration() (n, d int) {
	n, d = l.number(), 1
	if n == 0 {
		n = 1
	}
	for l.at(0) == '/' {
		l.i++
		if k := l.number(); k > 0 {
			d *= k
		} else {
			d *= 2
		}
		if d > 4096 {
			d = 4096
		}
	}
	return n, d
}

// pitch reads accidentals, a letter and octave marks. Accidentals hold to the end
// of the bar.
func (l *line) pitch() (melody.Pitch, bool) {
	sign := l.i
	for strings.IndexByte("^_=", l.at(0)) >= 0 && l.at(0) != 0 {
		l.i++
	}
	mark := l.text[sign:l.i]
	if l.at(0) == '/' || l.at(0) >= '0' && l.at(0) <= '9' { // a quarter tone
		l.duration()
		mark = ""
		l.remark("notes between the twelve of the scale are played without their accidental")
	}
	c := l.at(0)
	if !isLetter(c) || strings.IndexByte("abcdefgABCDEFG", c) < 0 {
		return melody.Pitch{}, false
	}
	l.i++
	octave := 4
	if c >= 'a' {
		octave, c = 5, c-'a'+'A'
	}
	for ; l.at(0) == '\'' || l.at(0) == ','; l.i++ {
		if l.at(0) == '\'' {
			octave++
		} else {
			octave--
		}
	}
	return l.sounding(c, octave, mark)
}

// sounding is a note with its accidentals, where the voice sounds it.
func (l *line) sounding(letter byte, octave int, mark string) (melody.Pitch, bool) {
	v := l.v()
	place := letterIndex(letter) + 7*octave
	alter := v.key.alter[letterIndex(letter)]
	if held, known := v.sharp[place]; known {
		alter = held
	}
	if sign, known := signs[mark]; known && mark != "" {
		alter = sign
		v.sharp[place] = sign
	}
	p, ok := melody.NewPitch(letter, alter, octave+v.octave)
	if ok && v.transpose != 0 {
		midi := p.Midi + v.transpose
		p, ok = melody.FromMidi(min(max(midi, 0), 127), v.key.fifths), midi >= 0 && midi <= 127
	}
	if !ok {
		l.remark("a note beyond all octaves is left out")
	}
	return p, ok
}

// note reads a note.
func (l *line) note() {
	start := l.i
	p, ok := l.pitch()
	if l.i == start {
		l.i++
	}
	if !ok && l.i == start+1 {
		return // an accidental without a note
	}
	n, d := l.duration()
	l.put([]melody.Pitch{p}, n, d, ok)
}

// put adds what was read as a note, a chord or a grace note; as silence where it
// cannot sound.
func (l *line) put(pitches []melody.Pitch, n, d int, ok bool) {
	v := l.v()
	place := melody.Place{Line: l.line(), Column: l.i}
	if l.grace {
		if ok {
			v.tune.Append(melody.Note{At: v.at, Pitches: pitches, Grace: true, Place: place}, false)
		}
		return
	}
	length := v.length(n, d)
	if !ok || length.Sign() <= 0 {
		v.silent(length)
		return
	}
	v.play(melody.Note{At: v.at, Length: length, Pitches: pitches, Place: place})
}

func (l *line) line() int { return l.reader.line }

// rest reads z and x, and Z and X, which are whole bars.
func (l *line) rest() {
	c := l.at(0)
	l.i++
	n, d := l.duration()
	v := l.v()
	if c == 'z' || c == 'x' {
		v.silent(v.length(n, d))
		return
	}
	bar := v.metre.Length()
	if bar.Sign() == 0 {
		bar = v.unit.Times(8)
	}
	for k := range min(n, mostRests) {
		if k > 0 {
			v.newBar(l.line())
		}
		v.silent(bar)
	}
}

// mostRests is the most bars of silence at a time.
const mostRests = 1000

// broken reads > and <.
func (l *line) broken() {
	sign, count := l.at(0), 0
	for ; l.at(0) == sign; l.i++ {
		count++
	}
	if sign == '>' && count == 1 && l.hornpipe {
		return // the swing of a hornpipe makes it long and short
	}
	l.v().breakRhythm(sign, count)
}

// open reads a tuplet or the start of a slur. ref: 2.1, section 4.13.
func (l *line) open() {
	l.i++
	p := l.number()
	if p == 0 {
		l.v().inSlur++
		return
	}
	q, r := 0, 0
	if l.at(0) == ':' {
		l.i++
		q = l.number()
		if l.at(0) == ':' {
			l.i++
			r = l.number()
		}
	}
	if q == 0 {
		q = l.usualTime(p)
	}
	if r == 0 {
		r = p
	}
	if p > 64 || q > 64 || r > 256 {
		l.remark("a tuplet of more than 64 notes is read as plain notes")
		return
	}
	l.v().tuplet = tuplet{left: r, times: q, over: p}
}

// usualTime is in the time of how many notes a tuplet is played.
func (l *line) usualTime(p int) int {
	switch p {
	case 2, 4, 8:
		return 3
	case 3, 6:
		return 2
	}
	if m := l.v().metre; m.Unit == 8 && m.Beats%3 == 0 {
		return 3
	}
	return 2
}

// graces reads {…}.
func (l *line) graces() {
	end := l.closing('}')
	if end < 0 {
		l.remark("a { without its } is passed over")
		l.i++
		return
	}
	inner := &line{reader: l.reader, text: l.text[:l.i+end], i: l.i + 1, grace: true}
	tied := l.v().tied
	for inner.i < len(inner.text) {
		switch c := inner.at(0); {
		case strings.IndexByte("abcdefgABCDEFG^_=", c) >= 0:
			inner.note()
		case c == '[':
			inner.chord()
		default:
			inner.i++
		}
	}
	l.v().tied = tied
	l.i += end + 1
}

// bracket reads what begins with [: a field, a bar line, an ending or a chord.
func (l *line) bracket() {
	c := l.at(1)
	switch {
	case isLetter(c) && l.at(2) == ':':
		l.inline()
	case c == '|' || c == ']' || c >= '1' && c <= '9' || c == '"':
		l.bars()
	default:
		l.chord()
	}
}

// inline reads a field in brackets.
func (l *line) inline() {
	end := l.closing(']')
	if end < 0 {
		l.i += 3
		return
	}
	name, text := l.at(1), l.text[l.i+3:l.i+end]
	l.i += end + 1
	if strings.IndexByte("MLQKVPUI", name) >= 0 {
		l.field(name, strings.TrimSpace(text))
	}
}

// chord reads [CEG]; it lasts as long as its first note. ref: 2.1, section 4.17.
func (l *line) chord() {
	end := l.closing(']')
	if end < 0 {
		l.remark("a [ without its ] is passed over")
		l.i++
		return
	}
	inner := &line{reader: l.reader, text: l.text[:l.i+end], i: l.i + 1, grace: l.grace}
	var pitches []melody.Pitch
	n, d, tied := 0, 1, false
	for inner.i < len(inner.text) {
		start := inner.i
		if p, ok := inner.pitch(); ok {
			k, m := inner.duration()
			if pitches = append(pitches, p); n == 0 {
				n, d = k, m
			}
			continue
		}
		tied = tied || inner.at(0) == '-'
		inner.i = max(inner.i, start+1)
	}
	l.i += end + 1
	k, m := l.duration()
	if len(pitches) == 0 {
		return
	}
	l.put(pitches, max(n, 1)*k, min(d*m, 1<<16), true)
	l.v().tied = l.v().tied || tied
}
