package synth

import (
	"cmp"
	"slices"

	"reedlark/synth/band"
	"reedlark/synth/dsp"
	"reedlark/synth/level"
	"reedlark/synth/reed"
	"reedlark/synth/room"
	"reedlark/tab/score"
)

// plan is every part of a sound, in the order of the score.
type plan struct {
	parts   []reed.Part
	starts  []int32 // numbers of parts, by their first frames
	timbres []reed.Timbre
	blows   []blow
	ticks   []*tick
	backing []*band.Note
}

// blow is the parts of one breath on one or more reeds.
type blow struct {
	tones  []*reed.Tone
	breath *reed.Breath
}

// planner makes a plan.
type planner struct {
	plan
	set      Settings
	frames   int64
	breathDB float64
	numbers  map[reed.Timbre]int32
}

func newPlan(sc *score.Score, set Settings, frames int64, breathDB float64) plan {
	p := &planner{set: set, frames: frames, breathDB: breathDB, numbers: map[reed.Timbre]int32{}}
	all := phrases(sc.Notes)
	p.parts = make([]reed.Part, 0, len(sc.Clicks)+2*len(all)) // a tone and its breath, most often
	p.blows = make([]blow, 0, len(all))
	p.addTicks(sc.Clicks)
	for _, ph := range all {
		p.addPhrase(ph)
	}
	p.addBacking(sc.Backing)
	p.order()
	return p.plan
}

// order sorts the parts by their first frames.
func (p *plan) order() {
	p.starts = make([]int32, len(p.parts))
	for i := range p.starts {
		p.starts[i] = int32(i)
	}
	slices.SortStableFunc(p.starts, func(a, b int32) int {
		x, _ := p.parts[a].Span()
		y, _ := p.parts[b].Span()
		return cmp.Compare(x, y)
	})
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

// ledger writes down the power and the peaks of all parts.
func (p *plan) ledger(r room.Room, set Settings, frames int64) *level.Ledger {
	l := accountant{
		Ledger:  level.New(frames, set.Rate),
		around:  level.NewAcoustics(r, set.Rate, set.Channels),
		timbres: p.timbres,
		tables:  set.Tables,
		rate:    set.Rate,
		echoes:  make([]level.Echo, len(p.timbres)),
		resound: resounds{},
	}
	l.noise = l.around.Noise()
	for i := range p.blows {
		l.addBlow(&p.blows[i])
	}
	for _, t := range p.ticks {
		l.addTick(t)
	}
	for _, n := range p.backing {
		l.addNote(n)
	}
	l.addMeetings(p)
	l.Reflect(l.around)
	return l.Ledger
}

func report(g level.Gain, f level.Fit) Report {
	return Report{
		Loudness: f.Loudness, Peak: f.Peak, Gain: dsp.Decibels(g.Base),
		Touched: f.Touched, PeakWins: f.PeakWins,
	}
}
