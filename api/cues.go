package api

import (
	"fmt"
	"math"

	"reedlark/synth/wav"
	"reedlark/tab"
)

// cues are the places in the sound at which lines of tab begin, each time they
// are played: "L3", or "Chorus, L3" for the first line of a section. shift is
// how many seconds later everything is than in the score.
func (p *Piece) cues(shift float64) []wav.Cue {
	if !p.req.Cues {
		return nil
	}
	names := p.sectionNames()
	out := make([]wav.Cue, len(p.score.Entries))
	for i, e := range p.score.Entries {
		label := fmt.Sprintf("L%d", e.Line)
		if name := names[e.Line]; name != "" {
			label = name + ", " + label
		}
		out[i] = wav.Cue{Frame: int64(math.Round((e.Start + shift) * float64(p.req.Rate))), Label: label}
	}
	return out
}

// sectionNames is the section that begins with each line of tab.
func (p *Piece) sectionNames() map[int]string {
	named := map[int]string{}
	for _, s := range p.doc.Sections() {
		named[s.Line] = s.Name
	}
	out := map[int]string{}
	name := ""
	for _, l := range p.doc.Lines {
		if n := named[l.Number]; n != "" {
			name = n
		}
		if l.Kind == tab.TabLine {
			out[l.Number] = name
			name = ""
		}
	}
	return out
}
