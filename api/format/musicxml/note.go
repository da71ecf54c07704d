package musicxml

import (
	"slices"
	"strings"

	"reedlark/tab"
	"reedlark/tab/harp"
)

// notes are the holes of an event, the lowest first, without their length.
func (w *writer) notes(e *tab.Event) ([]*note, error) {
	holes := slices.Clone(e.Note.Holes)
	slices.Sort(holes)
	out := make([]*note, len(holes))
	for i, hole := range holes {
		p, err := w.pitch(e.Note, hole)
		if err != nil {
			return nil, err
		}
		out[i] = &note{Pitch: p, Voice: 1}
		if i > 0 {
			out[i].Chord = &empty{}
		}
		if e.Role == tab.Filler {
			out[i].Head = &notehead{"yes", "normal"}
		}
	}
	t := &technical{Direction: "up", Tab: e.Note.Text}
	if e.Note.Breath == tab.Draw {
		t.Direction = "down"
	}
	out[0].notate().Technical = t
	w.ornament(out[0], e.Note)
	return out, nil
}

// ornament puts the marks of a note on the first of its holes.
func (w *writer) ornament(n *note, of *tab.Note) {
	if of.Shake {
		n.notate().Ornament = "shake"
		if len(of.Holes) == 1 {
			n.notate().Ornament = "vibrato"
		}
	}
	if of.SlideIn != nil {
		n.articulate().Scoop = &empty{}
	}
	if of.SlideOff != nil {
		n.articulate().Falloff = &empty{}
	}
}

// join writes the slide that leads from the note before to this one, and keeps
// what leads on from it.
func (w *writer) join(first, last []*note, e *tab.Event) {
	if w.joined != "" {
		w.last[0].slide(w.joined, "start")
		first[0].slide(w.joined, "stop")
	}
	w.last, w.joined = last, ""
	if e.Note.SlideTo != nil {
		w.joined = w.kindOfSlide(e)
	}
}

const (
	alongHoles = "glissando"
	onOneHole  = "slide"
)

// kindOfSlide is a slide of pitch where the note it leads to has the same
// lowest hole and breath.
func (w *writer) kindOfSlide(e *tab.Event) string {
	for _, next := range w.Piece.Events[w.index+1:] {
		if next.Note == nil {
			continue
		}
		if next.Note.Breath == e.Note.Breath && slices.Min(next.Note.Holes) == slices.Min(e.Note.Holes) {
			return onOneHole
		}
		break
	}
	return alongHoles
}

func (n *note) slide(kind, end string) {
	if kind == onOneHole {
		n.notate().Slides = append(n.notate().Slides, typed{end})
		return
	}
	n.notate().Glissandos = append(n.notate().Glissandos, typed{end})
}

// pitch is that of one hole of a note, as it is written.
func (w *writer) pitch(n *tab.Note, hole int) (*pitch, error) {
	technique := harp.Plain
	switch {
	case n.Over:
		technique = harp.Over
	case n.Bend > 0:
		technique = harp.Bend
	}
	midi := w.Harp.Sound(hole, harp.Breath(n.Breath), technique, n.Bend).Midi
	key := w.Harp.Key
	if w.ForC {
		midi -= w.transposition()
		key = harp.Key{}
	}
	if midi < 12 {
		return nil, ErrTooLow
	}
	return spelled(key.NoteName(midi), midi), nil
}

// spelled takes a name such as Bb4 apart.
func spelled(name string, midi int) *pitch {
	p := &pitch{Step: name[:1], Octave: midi/12 - 1}
	switch {
	case strings.Contains(name[1:], "b"):
		p.Alter = -1
	case strings.Contains(name[1:], "#"):
		p.Alter = 1
	}
	return p
}

// transposition is how far the harp sounds over one in C, semitones.
func (w *writer) transposition() int { return w.Harp.Key.Tonic() - harp.Key{}.Tonic() }

func (n *note) notate() *notations {
	if n.Notations == nil {
		n.Notations = &notations{}
	}
	return n.Notations
}

func (n *note) articulate() *articulations {
	if n.notate().Articulations == nil {
		n.notate().Articulations = &articulations{}
	}
	return n.Notations.Articulations
}

// newLyric is a syllable; on says that its word began before.
func newLyric(text string, on bool) *lyric {
	more := strings.HasSuffix(text, "-")
	kind := map[[2]bool]string{{false, false}: "single", {false, true}: "begin", {true, true}: "middle", {true, false}: "end"}[[2]bool{on, more}]
	return &lyric{1, kind, strings.TrimSuffix(text, "-")}
}
