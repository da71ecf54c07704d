package api

import (
	"reedlark/api/format/picture"
	"reedlark/tab/perform"
)

// Picture is the piece drawn as SVG: holes against time, over all rounds.
func (p *Piece) Picture() []byte { return picture.Draw(p.score, p.pictured()) }

// Card is the beginning of the picture as PNG, for sites that show links.
func (p *Piece) Card() []byte { return picture.Card(p.score, p.pictured()) }

func (p *Piece) pictured() picture.Options {
	return picture.Options{Bars: p.doc.Unfold().Bars, Rounds: p.req.Repeat, Tail: perform.Tail}
}
