// Package musicxml writes a tune as MusicXML 4.0, for notation programs, and reads
// the scores they write.
//
// What is written is the page as it is to be read: repeats and endings where they
// lie on bar lines, swing as even notes with a word over them, brackets as note
// heads in brackets, and every note at its exact place, tied where a bar line or
// the kinds of note there are cut it. Braces become tuplets.
//
// The standard has no mark for the holes of a harmonica. Its nearest are used
// for what they say: the breath is an arrow among the technical marks, up for
// blow and down for draw, and the note as it was typed stands beside it as
// another technical mark. A slide along holes is a glissando, one on a single
// hole a slide, a fall a falloff, a slide from nowhere a scoop. The bend of
// guitarists is not used: it says that the pitch leaves the written one, and
// here the written pitch is the bent one. Chords stand over their measures.
//
// Players who read from the fingering of one harp want every harp's music
// written as if for a harp in C: the notes are then those of a harp in C, and
// the part says how far from them it sounds.
//
// ref: W3C Music Notation Community Group, MusicXML 4.0, 2021. Only what
// version 3.0 has too is used, so older readers read it.
package musicxml

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"

	"reedlark/tab"
	"reedlark/tab/harp"
)

// Sheet is a tune to be written.
type Sheet struct {
	Title string
	Harp  harp.Harp
	Tempo float64 // beats a minute
	Metre tab.Metre
	Swing bool // a word is put over the notes
	Piece *tab.Piece
	Moved int  // semitones by which the piece's chords are moved to fit the harp
	Skip  bool // leave out what stands in brackets

	// ForC writes the notes as a harp in C would sound them, with a
	// transposition; else they are written where they sound.
	ForC bool
	// Lyric is what is sung to an event, a hyphen at its end where the word
	// goes on; or nil.
	Lyric func(*tab.Event) string
}

// ErrTooLow is for notes under C0, which the format has no octave for.
var ErrTooLow = errors.New("musicxml: a note lies under C0, where the format has no octave")

// head is what stands before the score. ref: MusicXML 4.0, document type.
const head = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
`

// part and its instrument, by the names that hold the file together.
const (
	partID       = "P1"
	instrumentID = "P1-I1"
)

// program is the harmonica of General MIDI, counted from 1.
const program = 23

// Write makes the file. It fails with ErrTooLow, and when ctx ends.
func Write(ctx context.Context, s Sheet) ([]byte, error) {
	w := newWriter(s)
	if err := w.play(ctx); err != nil {
		return nil, err
	}
	w.dress()
	doc := document{
		Version: "4.0", Title: s.Title, Software: "Reedlark",
		Part: partInfo{
			ID: partID, Name: "Harmonica in " + s.Harp.Key.String(),
			Instrument: instrument{instrumentID, "Harmonica"},
			MIDI:       midiInstrument{instrumentID, 1, program},
		},
		Body: partBody{partID, w.measures},
	}
	var out bytes.Buffer
	out.WriteString(head)
	e := xml.NewEncoder(stoppable{ctx, &out})
	e.Indent("", "  ")
	if err := e.Encode(doc); err != nil {
		return nil, fmt.Errorf("musicxml: %w", err)
	}
	out.WriteString("\n")
	return out.Bytes(), nil
}

// stoppable fails to write once ctx has ended, so that an encoder stops.
type stoppable struct {
	ctx context.Context
	io.Writer
}

func (s stoppable) Write(b []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.Writer.Write(b)
}
