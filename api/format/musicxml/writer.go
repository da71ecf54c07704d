package musicxml

import (
	"context"
	"slices"
	"strings"

	"reedlark/tab"
	"reedlark/tab/beat"
)

// writer lays the events of a tune into measures.
type writer struct {
	Sheet
	starts   []beat.Time // of the measures, beats, ascending from 0
	measures []*measure
	now      beat.Time // how far the writing has come, beats
	index    int       // of the event being written
	tuplet   *tuplet   // that is open
	last     []*note   // of the note before, for what goes on from it
	joined   string    // how the next note is joined to it: a glissando or a slide
	line     int       // of the page, of the event before
	hyphen   bool      // the last syllable sung on that line ends in a hyphen
}

// beatsWithoutBars is how long a measure is where nothing on the page says.
const beatsWithoutBars = 4

func newWriter(s Sheet) *writer {
	w := &writer{Sheet: s}
	w.starts = append([]beat.Time{{}}, s.Piece.Bars...)
	if len(s.Piece.Bars) == 0 {
		for at := beat.Whole(beatsWithoutBars); at.Less(s.Piece.Beats); at = at.Plus(beat.Whole(beatsWithoutBars)) {
			w.starts = append(w.starts, at)
		}
	}
	w.starts = slices.Compact(w.starts)
	for i := range w.starts {
		w.measures = append(w.measures, &measure{Number: i + 1})
		if len(s.Piece.Bars) == 0 && i > 0 {
			w.measures[i].Implicit = "yes" // the page has no bars
		}
	}
	return w
}

// quarters are beats as the metre counts them.
func (w *writer) quarters(beats beat.Time) beat.Time {
	if w.Metre.Unit == 0 {
		return beats
	}
	return beats.Times(4).Over(w.Metre.Unit)
}

// play writes every event, and rests where there is none.
func (w *writer) play(ctx context.Context) error {
	for i := range w.Piece.Events {
		if err := ctx.Err(); err != nil {
			return err
		}
		e := &w.Piece.Events[i]
		w.index = i
		w.silence(e.Start)
		if e.Line != w.line {
			w.line, w.hyphen = e.Line, false
		}
		if err := w.event(e); err != nil {
			return err
		}
	}
	w.silence(w.Piece.Beats)
	w.closeTuplet()
	return nil
}

// silence writes rests up to a beat.
func (w *writer) silence(until beat.Time) {
	if w.now.Less(until) {
		w.lay(nil, until.Minus(w.now))
	}
}

// event writes a note, all its holes, or a rest.
func (w *writer) event(e *tab.Event) error {
	sung := w.sung(e)
	sounds := e.Note != nil && (e.Role == tab.Melody || !w.Skip)
	if !sounds {
		if e.Beats.Sign() > 0 {
			w.lay(nil, e.Beats)
		}
		return nil
	}
	if e.Breath && len(w.last) > 0 {
		w.last[0].articulate().Breath = &empty{}
	}
	notes, err := w.notes(e)
	if err != nil {
		return err
	}
	if e.Role == tab.Grace {
		w.grace(notes)
		w.join(notes, notes, e)
		return nil
	}
	first, last := w.lay(notes, e.Beats)
	w.join(first, last, e)
	first[0].Lyric = sung
	return nil
}

// sung is what is sung to an event; nil for nothing.
func (w *writer) sung(e *tab.Event) *lyric {
	if w.Lyric == nil {
		return nil
	}
	text := w.Lyric(e)
	if text == "" {
		return nil
	}
	begun := w.hyphen
	w.hyphen = strings.HasSuffix(text, "-")
	return newLyric(text, begun)
}

// grace puts graces before what comes next, in its measure.
func (w *writer) grace(notes []*note) {
	w.closeTuplet()
	for _, n := range notes {
		n.Grace = &empty{}
		n.Type, n.source = "eighth", w.source()
	}
	m := w.measures[w.measureAt(w.now)]
	m.Notes = append(m.Notes, notes...)
}

// measureAt is the measure a beat lies in.
func (w *writer) measureAt(at beat.Time) int {
	i, found := slices.BinarySearchFunc(w.starts, at, beat.Time.Cmp)
	if !found {
		i--
	}
	return i
}

// lay puts a chord, or a rest where there are no notes, into measures for some
// beats from now on, cut where bar lines and the kinds of note cut it. It gives
// back the first and the last of what became of the chord.
func (w *writer) lay(notes []*note, beats beat.Time) (first, last []*note) {
	end := w.now.Plus(beats)
	for w.now.Less(end) {
		i := w.measureAt(w.now)
		stop := end
		if i+1 < len(w.starts) {
			stop = beat.Min(stop, w.starts[i+1])
		}
		for _, v := range values(w.quarters(stop.Minus(w.now))) {
			put := w.put(i, notes, v)
			tie(last, put)
			if first == nil {
				first, notes = put, bare(notes)
			}
			last = put
		}
		if i+1 < len(w.starts) && stop == w.starts[i+1] {
			w.closeTuplet() // none goes on over a bar line
		}
		w.now = stop
	}
	w.now = end
	return first, last
}

// put writes one value into a measure.
func (w *writer) put(i int, notes []*note, v value) []*note {
	written := []*note{{Rest: &empty{}}}
	if len(notes) > 0 {
		written = written[:0]
		for _, n := range notes {
			c := *n
			written = append(written, &c)
		}
	}
	for _, n := range written {
		n.Type, n.length, n.Voice, n.source = v.name, v.length, 1, w.source()
		n.Dots = make([]empty, v.dots)
		if v.actual != v.normal {
			n.Modified = &timeModification{v.actual, v.normal}
		}
	}
	w.group(written[0], v)
	w.measures[i].Notes = append(w.measures[i].Notes, written...)
	if len(notes) == 0 {
		return nil
	}
	return written
}

// source is the byte of the page that what is written now comes from.
func (w *writer) source() int {
	if w.index < len(w.Piece.Events) {
		return w.Piece.Events[w.index].Span.Start
	}
	return 0
}

// bare is a chord without the marks that are written once.
func bare(notes []*note) []*note {
	out := make([]*note, len(notes))
	for i, n := range notes {
		out[i] = &note{Pitch: n.Pitch, Chord: n.Chord, Head: n.Head}
	}
	return out
}

// tie binds a value to the one before it.
func tie(before, after []*note) {
	for i := range before {
		before[i].Ties = append(before[i].Ties, typed{"start"})
		before[i].notate().Tied = append(before[i].notate().Tied, typed{"start"})
		after[i].Ties = append(after[i].Ties, typed{"stop"})
		after[i].notate().Tied = append(after[i].notate().Tied, typed{"stop"})
	}
}
