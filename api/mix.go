package api

import (
	"reedlark/tab/diag"
	"reedlark/tab/score"
)

// The mixes, as requests name them.
const (
	mixMelody  = "melody"
	mixBacking = "backing"
	mixSplit   = "split"
)

// channels are those of the file: a split mix has two in any case.
func (r Request) channels() int {
	if r.Mix == mixSplit {
		return 2
	}
	return r.Channels
}

// heard is the part of a score that the mix lets through. What is not heard
// keeps its time.
func (p *Piece) heard() *score.Score {
	out := *p.score
	switch p.req.Mix {
	case mixMelody:
		out.Backing, out.Clicks = nil, nil
	case mixBacking:
		out.Notes = nil
	}
	return &out
}

// aboutMix warns where a mix leaves nothing to hear.
func (p *Piece) aboutMix(heard *score.Score) {
	if len(heard.Notes)+len(heard.Backing)+len(heard.Clicks) > 0 {
		return
	}
	switch p.req.Mix {
	case mixMelody:
		p.reported.Add(diag.Warning, diag.MixSilent, diag.Span{}, "Ask for the mix “all”.",
			"Nothing is heard, because only the melody was asked for and the harp plays nothing.")
	case mixBacking:
		p.reported.Add(diag.Warning, diag.MixSilent, diag.Span{}, "Ask for the backing “drone”, or for “chords” on a page with chords.",
			"Nothing is heard, because only the backing was asked for and nothing plays along.")
	}
}
