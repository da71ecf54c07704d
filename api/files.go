package api

import (
	"context"

	"reedlark/api/smf"
	"reedlark/synth/flac"
)

// MIDI is the piece as a Standard MIDI File. It fails only by our own fault.
func (p *Piece) MIDI() ([]byte, error) {
	sung := p.lyrics()
	w := smf.Words{Lyrics: make([]string, len(p.score.Notes))}
	w.Pickup, _ = p.doc.Unfold().Pickup.Float64()
	for i, n := range p.score.Notes {
		w.Lyrics[i] = sung[place{n.Line, n.Column}]
	}
	return smf.Write(p.score, w)
}

// FLAC is the whole file of the sound as FLAC: the same samples in less room.
// It is made in memory, since its length is not known before its last byte.
// It fails when ctx ends.
func (s *Sound) FLAC(ctx context.Context) ([]byte, error) {
	return flac.Encode(s.format, func(take func([]int32) error) error {
		return s.sound.Samples(ctx, 0, s.Frames(), take)
	})
}
