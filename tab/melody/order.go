package melody

import "slices"

// MostBars is the most bars a tune may have in playing order.
const MostBars = 100_000

// Order is the order in which the bars are played, by their indices. After a
// D.C. or a D.S. repeats are played once, with their last endings. What would be
// longer than [MostBars] ends there, and ok is false.
func (t *Tune) Order() (order []int, ok bool) {
	p := &walker{tune: t, passes: map[int]int{}, last: t.lastPasses()}
	for p.at < len(t.Bars) && len(p.order) < MostBars {
		if !p.step() {
			return p.order, true
		}
	}
	return p.order, p.at >= len(t.Bars)
}

// walker follows the signs of a tune.
type walker struct {
	tune   *Tune
	order  []int
	at     int
	start  int         // where the repeat that is open begins
	pass   int         // of that repeat, from 0
	passes map[int]int // how often each closing sign was obeyed
	jumped *Jump       // that was obeyed; nil before
	last   []int       // see lastPasses
}

// step plays one bar and goes on; false at the end.
func (p *walker) step() bool {
	b := &p.tune.Bars[p.at]
	if b.Open {
		if p.start != p.at {
			p.pass = 0
		}
		p.start = p.at
	}
	if len(b.Endings) > 0 && !p.plays(b) {
		p.skip()
		return true
	}
	p.order = append(p.order, p.at)
	return p.leave(b)
}

// plays says whether an ending is played in this pass.
func (p *walker) plays(b *Bar) bool {
	if p.jumped == nil {
		return slices.Contains(b.Endings, p.pass+1)
	}
	return p.lastEnding(p.at)
}

// lastEnding says that no further ending follows the one that begins at a bar.
func (p *walker) lastEnding(i int) bool {
	end := p.tune.endingEnd(i)
	return end+1 >= len(p.tune.Bars) || len(p.tune.Bars[end+1].Endings) == 0
}

// endingEnd is the last bar of the ending that begins at a bar.
func (t *Tune) endingEnd(i int) int {
	bars := t.Bars
	for ; i+1 < len(bars); i++ {
		if bars[i].Stop || bars[i].Close > 0 || len(bars[i+1].Endings) > 0 {
			break
		}
	}
	return i
}

// skip passes over an ending of another pass.
func (p *walker) skip() { p.at = p.tune.endingEnd(p.at) + 1 }

// leave goes on from a bar that was played.
func (p *walker) leave(b *Bar) bool {
	switch {
	case p.jumped != nil && b.Fine && p.jumped.Until == AlFine:
		return false
	case p.jumped != nil && b.ToCoda && p.jumped.Until == AlCoda:
		return p.toCoda()
	case p.repeats(b):
		p.passes[p.at]++
		p.pass++
		p.at = p.start
		return true
	case b.Jump.From != NoJump && p.jumped == nil:
		return p.jump(b.Jump)
	case b.Close > 0:
		p.endRepeat()
	}
	p.at++
	return true
}

// repeats says whether the sign after a bar is obeyed this time. In an ending it
// is, as long as some ending is left for another pass.
func (p *walker) repeats(b *Bar) bool {
	if b.Close == 0 || p.jumped != nil {
		return false
	}
	if last := p.last[p.at]; last > 0 {
		return p.pass+1 < last
	}
	return p.passes[p.at] < b.Close-1
}

// lastPasses is, for each bar of an ending, the last pass that any of the
// endings beside it has; 0 for a bar of none.
func (t *Tune) lastPasses() []int {
	out := make([]int, len(t.Bars))
	for i := 0; i < len(t.Bars); i++ {
		first, last := i, 0
		for i < len(t.Bars) && len(t.Bars[i].Endings) > 0 {
			last = max(last, slices.Max(t.Bars[i].Endings))
			i = t.endingEnd(i) + 1
		}
		for k := first; k < i; k++ {
			out[k] = last
		}
	}
	return out
}

// endRepeat forgets the repeat that is over, unless another ending of it follows.
func (p *walker) endRepeat() {
	if next := p.at + 1; next < len(p.tune.Bars) && len(p.tune.Bars[next].Endings) > 0 && p.jumped == nil {
		return
	}
	p.start, p.pass = p.at+1, 0
}

// jump obeys a D.C. or a D.S.; one without its sign is not followed.
func (p *walker) jump(j Jump) bool {
	to := 0
	if j.From == DalSegno {
		to = slices.IndexFunc(p.tune.Bars, func(b Bar) bool { return b.Segno })
	}
	if to < 0 {
		p.at++
		return true
	}
	p.jumped, p.at, p.start, p.pass = &j, to, to, 0
	return true
}

// toCoda goes on at the coda; without one the tune is over.
func (p *walker) toCoda() bool {
	for i := p.at + 1; i < len(p.tune.Bars); i++ {
		if p.tune.Bars[i].Coda {
			p.at = i
			return true
		}
	}
	return false
}
