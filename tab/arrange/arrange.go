// Package arrange puts a tune on a harp and writes it as a page of tab.
//
// It takes three steps. [Ways] asks tab/harp how each harp would play the tune
// and what that costs a player. The tune is then cut into what a page can say:
// bars, repeats, and rhythm in whole beats of the metre. At last the page is
// written, and read again by tab: what it plays has to be what was meant.
//
// Rhythm is written the way it is easiest to read. Whole beats are hold marks,
// parts of one beat stand in braces, and a row whose notes cross beats has a
// count row where counting can say it; where it cannot, one brace spans the
// beats that are crossed, as in {6-- -6}- for a dotted note and a short one.
//
// Nothing is lost in silence. A note that the harp lacks leaves a rest of its
// length, a comment above its row, and an entry in [Page.Lost].
package arrange

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// Options say what to choose from, and how to write.
type Options struct {
	Harps     []harp.Harp // to choose from
	Wish      harp.Wish   // its Song is used where HasSong is set
	HasSong   bool        // the caller knows the key of the song
	Transpose int         // semitones, before everything else
	Verse     int         // whose words stand under the notes, from 1; 0 for the first
	Limits    tab.Limits
}

// Page is a tune as a page of tab.
type Page struct {
	Text string
	Way  harp.Way
	Lost []Loss
	Said []string // what the page's comments say of what was taken and left out
}

// Loss is a note that the harp lacks.
type Loss struct {
	Bar  string // its printed number
	What string // the note as the tune spells it, "Eb5"
	Span diag.Span
	// Instead are the same note an octave up and down as tab, where the harp
	// has them; else "".
	Up, Down string
}

// ErrTooLong is for a tune that no page holds.
var ErrTooLong = errors.New("the tune is too long for one page")

// ErrNothing is for a tune of which the harp has no note at all.
var ErrNothing = errors.New("the harp has none of the notes")

// ErrUnfit is for a page that would not play what it should: a fault of ours.
var ErrUnfit = errors.New("arrange: the page written does not play the tune")

// Write writes the page of a tune by one of its ways, as [Ways] found it. The
// tune has to sound. It fails with ErrTooLong and ErrNothing.
func Write(t *melody.Tune, way harp.Way, o Options) (*Page, error) { return write(t, way, o, false) }

// Rows is the tune by one of its ways as rows of tab alone, without a header. It
// fails as [Write] does.
func Rows(t *melody.Tune, way harp.Way, o Options) (string, error) {
	p, err := write(t, way, o, true)
	if err != nil {
		return "", err
	}
	return strings.TrimSuffix(p.Text, "\n"), nil
}

func write(t *melody.Tune, way harp.Way, o Options, bare bool) (*Page, error) {
	t = transposed(t, o.Transpose)
	for _, unfolded := range []bool{false, true} {
		p, err := prepare(t, &way, o.Wish, unfolded)
		if err != nil {
			return nil, err
		}
		if len(p.meant()) == 0 {
			return nil, ErrNothing
		}
		if page, err := p.write(&way, o, bare); page != nil || err != nil {
			return page, err
		}
	}
	return nil, ErrUnfit
}

// write writes a piece in the first style that is read as it was meant; nil where
// none is, since the signs of its form are not those of a page.
func (p *piece) write(way *harp.Way, o Options, bare bool) (*Page, error) {
	for _, style := range []style{{counts: true}, {}, {forced: true}} {
		style.bare = bare
		w := &writer{piece: p, style: style, way: way, wish: o.Wish, verse: max(o.Verse, 1)}
		page := w.page()
		doc := tab.Parse(page.Text, tab.Options{Limits: o.Limits})
		if tooLong(doc) {
			return nil, ErrTooLong
		}
		if p.playedBy(doc, w.kinds) {
			return page, nil
		}
	}
	return nil, nil
}

// tooLong says that a page was refused for its size.
func tooLong(doc *tab.Document) bool {
	for _, d := range doc.Problems {
		if d.Code == diag.TextTooLong || d.Code == diag.TooManyNotes {
			return true
		}
	}
	return false
}

// transposed is a tune moved by semitones.
func transposed(t *melody.Tune, by int) *melody.Tune {
	if by == 0 {
		return t
	}
	out := *t
	fifths := 0
	if t.Key != nil {
		tonic := ((t.Key.Tonic+by)%12 + 12) % 12
		fifths = (t.Key.Fifths + 7*by) % 12
		if fifths > 6 {
			fifths -= 12
		}
		if fifths < -6 {
			fifths += 12
		}
		out.Key = &melody.Key{Fifths: fifths, Tonic: tonic}
	}
	out.Notes = make([]melody.Note, len(t.Notes))
	for i, n := range t.Notes {
		pitches := make([]melody.Pitch, len(n.Pitches))
		for k, p := range n.Pitches {
			pitches[k] = melody.FromMidi(min(max(p.Midi+by, 0), 127), fifths)
		}
		n.Pitches, n.Fingering = pitches, ""
		out.Notes[i] = n
	}
	out.Chords = movedChords(t.Chords, by)
	return &out
}

// Comment is what the page says of a loss.
func (l Loss) Comment(key string) string {
	return fmt.Sprintf("bar %s: the harp in %s has no %s; a rest stands for it", l.Bar, key, l.What)
}

// Missing names the notes of a tune that a way lacks, as the tune spells them,
// each once.
func Missing(t *melody.Tune, way harp.Way, o Options) []string {
	names := []string{}
	if len(way.Missing) == 0 {
		return names
	}
	t = transposed(t, o.Transpose)
	for i := range t.Notes {
		top := t.Notes[i].Top()
		if !t.Notes[i].Grace && slices.Contains(way.Missing, top.Midi) && !slices.Contains(names, top.Name) {
			names = append(names, top.Name)
		}
	}
	return names
}
