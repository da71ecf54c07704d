package api

import (
	"reedlark/api/picture"
	"reedlark/tab/perform"
)

// Picture is the piece drawn as SVG: holes against time, over all rounds.
func (p *Piece) Picture() []byte {
	return picture.Draw(p.score, picture.Options{
		Bars: p.doc.Unfold().Bars, Rounds: p.req.Repeat, Tail: perform.Tail,
	})
}
