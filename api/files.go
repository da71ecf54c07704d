//go:build !js

package api

import (
	"context"
	"errors"

	"reedlark/api/format/midi"
	"reedlark/api/format/musicxml"
	"reedlark/synth/flac"
	"reedlark/tab"
	"reedlark/tab/harp"
)

// MIDI is the piece as a Standard MIDI File, as far as the mix lets it be heard.
// It fails when ctx ends, else only by our own fault.
func (p *Piece) MIDI(ctx context.Context) ([]byte, error) {
	sung := p.lyrics()
	w := midi.Words{Lyrics: make([]string, len(p.score.Notes)), Pickup: p.doc.Unfold().Pickup.Float()}
	for i, n := range p.score.Notes {
		w.Lyrics[i] = sung[place{n.Line, n.Column}]
	}
	return midi.Write(ctx, p.heard(), w)
}

// FLAC is the whole file of the sound as FLAC: the same samples in less room.
// It is made in memory, since its length is not known before its last byte.
// It fails when ctx ends.
func (s *Sound) FLAC(ctx context.Context) ([]byte, error) {
	return flac.Encode(s.format, func(take func([]int32) error) error {
		return s.sound.Samples(ctx, 0, s.Frames(), take)
	})
}

// FLACLayout is what has to be known of the whole FLAC file before its first byte
// can be sent: its head, and where in the file each of its stretches ends.
type FLACLayout struct {
	Head []byte
	Ends []int64
}

// FLACStretches is how many stretches the FLAC file has.
func (s *Sound) FLACStretches() int {
	return int((s.Frames() + flac.StretchFrames - 1) / flac.StretchFrames)
}

// FLACStretch is one stretch of the FLAC file, made alone, without the head. It
// fails when ctx ends.
func (s *Sound) FLACStretch(ctx context.Context, number int) ([]byte, error) {
	stretch, err := s.stretch(ctx, number)
	return stretch.Bytes, err
}

func (s *Sound) stretch(ctx context.Context, number int) (flac.Stretch, error) {
	from := int64(number) * flac.StretchFrames
	return flac.Code(s.format, number, func(take func([]int32) error) error {
		return s.renderer()(ctx, from, min(from+flac.StretchFrames, s.Frames()), take)
	})
}

// SurveyFLAC makes every stretch of the FLAC file once, to learn the layout, and
// keeps none: each is handed to see. It leaves to do when the work on each is done.
func (s *Sound) SurveyFLAC(ctx context.Context, do func(work func() error) error, see func(number int, stretch []byte) error) (FLACLayout, error) {
	survey, err := flac.NewSurvey(s.format)
	if err != nil {
		return FLACLayout{}, err
	}
	for i := range s.FLACStretches() {
		var st flac.Stretch
		err := do(func() (err error) {
			st, err = s.stretch(ctx, i)
			return err
		})
		if err != nil {
			return FLACLayout{}, err
		}
		survey.Add(st)
		if err := see(i, st.Bytes); err != nil {
			return FLACLayout{}, err
		}
	}
	head, ends, err := survey.Done()
	return FLACLayout{head, ends}, err
}

// MusicXML is the whole page as sheet music, its repeats written out; forC
// writes it as a harp in C would sound, with a transposition. What only a sound
// has (a range, rounds, a count-in) is left out. The error is a *CallError where
// a note is too low for the format. It fails, too, when ctx ends.
func (p *Piece) MusicXML(ctx context.Context, forC bool) ([]byte, error) {
	h, err := p.harp()
	if err != nil {
		return nil, err
	}
	sung := p.lyrics()
	out, err := musicxml.Write(ctx, musicxml.Sheet{
		Title: p.score.Title, Harp: h, Tempo: p.score.Tempo, Metre: p.doc.Metre, Swing: p.swings(),
		Piece: p.doc.Unfold(), Moved: p.score.Moved, Skip: p.req.Brackets == "skip", ForC: forC,
		Lyric: func(e *tab.Event) string {
			line, column := p.doc.Source.Position(e.Span.Start)
			return sung[place{line, column}]
		},
	})
	if errors.Is(err, musicxml.ErrTooLow) {
		return nil, &CallError{Kind: NotAllowed, Parameter: "format", Allowed: "json, midi", Detail: "a note lies under C0, for which MusicXML has no octave"}
	}
	return out, err
}

// swings says whether the piece is swung.
func (p *Piece) swings() bool {
	swing := p.req.Swing
	if swing == 0 {
		swing = p.doc.Head.Swing
	}
	return swing > 0.5
}

// harp is the harp the piece is played on.
func (p *Piece) harp() (harp.Harp, error) {
	on := p.score.Harp
	key, err := harp.ParseKey(on.Key)
	if err != nil {
		return harp.Harp{}, err
	}
	layout := Layout{Name: on.Layout}
	if on.Layout == harp.Custom {
		layout = p.req.Layout
	}
	reeds, err := layout.reeds()
	if err != nil {
		return harp.Harp{}, err
	}
	return harp.New(key, reeds, harp.Tuning(on.Tuning), on.A4)
}
