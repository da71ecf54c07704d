package api

import (
	"context"
	"errors"
	"io"

	"reedlark/openapi"
)

// Piece is a tab that was read and can be played.
type Piece struct{ req Request }

// Open reads a tab and plays it on paper; nothing is rendered. The error is a
// *TabError with every diagnostic where the tab is at fault, or, when asked to
// be strict, doubtful.
func Open(r Request) (*Piece, error) { return nil, errors.New("not yet") }

// Title is the page's title, empty where it has none.
func (p *Piece) Title() string { return "" }

// Diagnostics is everything there is to say about the page, in its order.
func (p *Piece) Diagnostics() []openapi.Diagnostic { return nil }

// Score is what is played, when and at what pitch.
func (p *Piece) Score() (openapi.Score, error) { return openapi.Score{}, nil }

// Rewritten is the page in the convention the request asks for.
func (p *Piece) Rewritten() string { return "" }

// Sound is the piece ready to be rendered.
func (p *Piece) Sound() (*Sound, error) { return nil, nil }

// Sound is a file of sound whose every byte is known by its place.
type Sound struct{}

// Size is the length of the file in bytes.
func (s *Sound) Size() int64 { return 0 }

// Frames is the length of the sound in frames.
func (s *Sound) Frames() int64 { return 0 }

// WriteTo renders the whole file.
func (s *Sound) WriteTo(ctx context.Context, w io.Writer) error {
	return s.WriteRange(ctx, w, 0, s.Size())
}

// WriteRange renders n bytes of the file from offset on, and no more frames
// than they need. It fails when ctx ends, when w does, or when the range does
// not lie in the file.
func (s *Sound) WriteRange(ctx context.Context, w io.Writer, offset, n int64) error { return nil }

func or(text, usual string) string {
	if text == "" {
		return usual
	}
	return text
}
