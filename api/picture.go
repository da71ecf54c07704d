package api

import (
	"context"

	"reedlark/api/format/picture"
	"reedlark/tab/perform"
)

// Picture is the piece drawn as SVG: holes against time, over all rounds. It
// fails when ctx ends.
func (p *Piece) Picture(ctx context.Context) ([]byte, error) {
	return picture.Draw(ctx, p.score, p.pictured())
}

func (p *Piece) pictured() picture.Options {
	return picture.Options{Bars: p.doc.Unfold().Bars, Rounds: p.req.Repeat, Tail: perform.Tail}
}
