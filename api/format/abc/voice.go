package abc

import (
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// voice is a part of the tune being read.
type voice struct {
	settings
	id   string
	tune melody.Tune
	at   beat.Time

	sharp    map[int]int // accidentals in this bar, by letter and octave
	pending  beat.Time   // what a broken rhythm makes of the next length; 0 for nothing
	lastKind element
	lastFrom beat.Time // where the last note or rest began
	tuplet   tuplet
	tied     bool   // a tie leads on from the last note
	ending   bool   // an ending is open
	over     *voice // the one that this is a second voice of, in some of its bars; else nil
	sung     []int  // notes of the last line of music, by index; -1 for one that is tied to
	sungBars []int  // how many of them stand before each bar line
	inSlur   int
	partOf   map[int]string // P: by the bar it heads
}

// element is what the last length belongs to.
type element int

// The elements.
const (
	nothing element = iota
	note
	rest
)

// tuplet is the part of a tuplet still to be read.
type tuplet struct{ left, times, over int }

func (v *voice) begin(line int) {
	v.partOf = map[int]string{}
	v.tune.Bars = []melody.Bar{{Metre: v.metre, Place: melody.Place{Line: line}}}
	v.sharp = map[int]int{}
}

func (v *voice) empty() bool { return len(v.tune.Notes) == 0 && v.at.Sign() == 0 }

func (v *voice) apply(text string, options map[string]string) { v.shift(text, options) }

// bar is the bar that is open.
func (v *voice) bar() *melody.Bar { return &v.tune.Bars[len(v.tune.Bars)-1] }

// changeMetre changes the metre of the bar that is open, if nothing is in it;
// else the next bar has it.
func (v *voice) changeMetre() {
	if v.bar().At == v.at {
		v.bar().Metre = v.metre
	}
}

// section heads what follows.
func (v *voice) section(name string) {
	if v.bar().At != v.at {
		v.newBar(v.bar().Place.Line)
	}
	v.bar().Section = name
}

// part heads what follows with a name of P:.
func (v *voice) part(name string) {
	if name == "" {
		return
	}
	v.section(name)
	v.partOf[len(v.tune.Bars)-1] = name
}

// mostBars bounds the bars of a tune.
const mostBars = 200_000

// newBar begins a bar where the voice is.
func (v *voice) newBar(line int) {
	if len(v.tune.Bars) >= mostBars {
		return
	}
	v.sharp = map[int]int{}
	v.tune.Bars = append(v.tune.Bars, melody.Bar{At: v.at, Metre: v.metre, Place: melody.Place{Line: line}})
}

// length is how long a note or a rest is, in quarters.
func (v *voice) length(n, d int) beat.Time {
	length := v.unit.Times(n).Over(d)
	if v.tuplet.left > 0 {
		v.tuplet.left--
		length = length.Times(v.tuplet.times).Over(v.tuplet.over)
	}
	if v.pending.Sign() > 0 {
		length = scaled(length, v.pending)
		v.pending = beat.Time{}
	}
	return length
}

// scaled is a length times a factor.
func scaled(length, by beat.Time) beat.Time {
	return length.Times(int(by.Num())).Over(int(by.Denom()))
}

// play adds a note or a chord.
func (v *voice) play(n melody.Note) {
	before := len(v.tune.Notes)
	v.tune.Append(n, v.tied)
	v.tied = false
	if n.Grace {
		return
	}
	v.lastKind, v.lastFrom = note, n.At
	v.at = n.End()
	if len(v.tune.Notes) == before {
		v.sung = append(v.sung, -1)
		return
	}
	v.sung = append(v.sung, before)
}

// silent adds a rest.
func (v *voice) silent(length beat.Time) {
	v.lastKind, v.lastFrom, v.tied = rest, v.at, false
	v.at = v.at.Plus(length)
}

// breakRhythm reads > and <: the note before and the one after share their time
// unevenly. ref: 2.1, section 4.4.
func (v *voice) breakRhythm(sign byte, count int) {
	if v.lastKind == nothing || v.pending.Sign() > 0 || count > 3 || v.lastFrom.Less(v.bar().At) {
		return
	}
	short := beat.Whole(1).Over(1 << count)
	long := beat.Whole(2).Minus(short)
	before, after := long, short
	if sign == '<' {
		before, after = short, long
	}
	v.pending = after
	length := v.at.Minus(v.lastFrom)
	end := v.lastFrom.Plus(scaled(length, before))
	if v.lastKind == note {
		for i := len(v.tune.Notes) - 1; i >= 0; i-- {
			if n := &v.tune.Notes[i]; !n.Grace {
				n.Length = end.Minus(n.At)
				break
			}
		}
	}
	v.at = end
}

// finish ends the voice.
func (v *voice) finish() {
	t := &v.tune
	t.Length = v.at
	for len(t.Bars) > 1 && t.Bars[len(t.Bars)-1].At == t.Length {
		t.Bars = t.Bars[:len(t.Bars)-1]
	}
	for len(t.Notes) > 0 && t.Notes[len(t.Notes)-1].Grace && t.Notes[len(t.Notes)-1].At == t.Length {
		t.Notes = t.Notes[:len(t.Notes)-1]
	}
	t.Bars = slices.Clip(t.Bars)
}
