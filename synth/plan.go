package synth

import (
	"cmp"
	"slices"

	"reedlark/synth/loud"
	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// plan is every part of a sound, in the order of the score.
type plan struct {
	parts   []reed.Part
	starts  []int32 // numbers of parts, by their first frames
	timbres []reed.Timbre
	sources []loud.Source              // by their first frames; nil once they are counted
	players map[reed.Part]score.Player // whose each part of the backing is
	drums   bool                       // are among them
}

// planner makes a plan.
type planner struct {
	plan
	set       Settings
	frames    int64
	breathDB  float64
	numbers   map[reed.Timbre]int32
	breaths   uint64 // so far
	performer *performer
}

func newPlan(sc *score.Score, set Settings, frames int64, breathDB float64) plan {
	p := &planner{set: set, frames: frames, breathDB: breathDB, numbers: map[reed.Timbre]int32{}, performer: newPerformer(sc.Phrasing)}
	p.players = map[reed.Part]score.Player{}
	all := len(sc.Clicks) + len(sc.Notes) + len(sc.Backing)
	p.parts = make([]reed.Part, 0, all+len(sc.Notes)) // a tone and its breath, most often
	p.sources = make([]loud.Source, 0, all)
	p.addTicks(sc.Clicks)
	for i := 0; i < len(sc.Notes); {
		ph := phraseAt(sc.Notes, i)
		p.addPhrase(ph)
		i += len(ph.notes)
	}
	p.addBacking(sc.Backing)
	p.order()
	p.putInFront()
	return p.plan
}

// order sorts the parts, and what is counted, by their first frames.
func (p *plan) order() {
	p.starts = make([]int32, len(p.parts))
	for i := range p.starts {
		p.starts[i] = int32(i)
	}
	slices.SortStableFunc(p.starts, func(a, b int32) int { return sooner(p.parts[a], p.parts[b]) })
	slices.SortStableFunc(p.sources, sooner)
}

// sooner compares two by their first frames.
func sooner[T interface{ Span() (from, to int64) }](a, b T) int {
	x, _ := a.Span()
	y, _ := b.Span()
	return cmp.Compare(x, y)
}

// number is the number of a timbre in the plan.
func (p *planner) number(t reed.Timbre) int32 {
	n, ok := p.numbers[t]
	if !ok {
		n = int32(len(p.timbres))
		p.numbers[t] = n
		p.timbres = append(p.timbres, t)
	}
	return n
}
