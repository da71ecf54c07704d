package api

import "reedlark/tab/harp"

// Reading is what a page says about itself, whether or not it can be played. What
// it is silent about is empty or zero.
type Reading struct {
	Convention string  `json:"convention"` // in which it was read
	Harp       string  `json:"harp"`       // as the parameter harp writes it; as typed where there is no such harp
	Layout     string  `json:"layout"`     // as typed
	Tempo      float64 `json:"tempo"`      // beats a minute
	Metre      string  `json:"metre"`
}

// Reading is what the page says about itself. A piece that was refused has one too.
func (p *Piece) Reading() Reading {
	head := p.doc.Head
	out := Reading{
		Convention: string(p.doc.Convention), Harp: head.Harp.Value, Layout: head.Layout.Value,
		Tempo: head.Tempo, Metre: head.Metre.String(),
	}
	if key, err := harp.ParseKey(out.Harp); err == nil {
		out.Harp = key.String()
	}
	return out
}
