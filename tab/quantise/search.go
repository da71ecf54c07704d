package quantise

import (
	"cmp"
	"math"
	"slices"
)

// usualMetres are tried where the metre is unknown, with what it takes to
// believe in them, in nats. by ear.
var usualMetres = []struct {
	metre Metre
	cost  float64
}{{Metre{4, 4}, 0}, {Metre{3, 4}, 1}, {Metre{6, 8}, 2}}

// usual is the tempo of a tune that says none, in beats a minute, and how far
// tempos are from it: the standard deviation of the natural logarithm.
// ref: Parncutt, A perceptual model of pulse salience, 1994: beats of some 600 ms
// are preferred, and preference is normal in the logarithm. The rest by ear.
func usual(m Metre) (tempo, spread float64) {
	if m.compound() {
		return 210, .3 // eighths: seventy groups of three
	}
	return 108, .33
}

// search finds the likeliest path, and the next likeliest at another level of the
// beat where the level is not given.
func (t *Taps) search() (best, second *path) {
	switch {
	case len(t.Clicks) > 1:
		var tries []try
		for _, s := range t.styles() {
			tries = append(tries, try{s.style, s.cost, t.clicked(), .03})
		}
		return t.paths(tries)[0], nil
	case t.Tempo > 0:
		return t.paths(t.tries(t.near))[0], nil
	}
	paths := t.paths(t.tries(anyTempo))
	for _, p := range paths[1:] {
		if ratio := p.period() / paths[0].period(); ratio > 1.25 || ratio < .8 {
			return paths[0], p
		}
	}
	return paths[0], t.other(paths[0])
}

// clicked is how long a beat of the clicks is, the median, in seconds.
func (t *Taps) clicked() float64 {
	gaps := make([]float64, len(t.Clicks)-1)
	for i := range gaps {
		gaps[i] = t.Clicks[i+1] - t.Clicks[i]
	}
	slices.Sort(gaps)
	return gaps[len(gaps)/2]
}

// try is a style and a tempo to follow the taps with.
type try struct {
	style  style
	cost   float64 // what it takes to believe in them, in nats
	period float64 // seconds
	unsure float64 // share by which the period may be off: a standard deviation
}

// near are tempos around the one given: people who tap without a click miss it,
// but they do not mean another.
func (t *Taps) near(Metre) (tempos, costs []float64) {
	const step, spread, each = .11, .1, 5
	for k := -each; k <= each; k++ {
		z := float64(k) * step / spread
		tempos = append(tempos, t.Tempo*math.Exp(float64(k)*step))
		costs = append(costs, z*z/2)
	}
	return tempos, costs
}

// anyTempo are the tempos of tunes that say none.
func anyTempo(m Metre) (tempos, costs []float64) {
	const slowest, fastest, step = 36, 330, 1.09
	usual, spread := usual(m)
	for tempo := float64(slowest); tempo < fastest; tempo *= step {
		z := math.Log(tempo/usual) / spread
		tempos, costs = append(tempos, tempo), append(costs, z*z/2)
	}
	return tempos, costs
}

// tries are the most promising tempos of each style. A first look, which knows no
// bars, sorts them.
func (t *Taps) tries(of func(Metre) (tempos, costs []float64)) (out []try) {
	const promising = 4
	for _, s := range t.styles() {
		look := newLattice(styleOf(s.style.metre.group(), s.style.swing))
		tempos, costs := of(s.style.metre)
		looks := make([]try, len(tempos))
		first := make(map[float64]float64, len(tempos))
		for i, tempo := range tempos {
			looks[i] = try{s.style, s.cost + costs[i], 60 / tempo, .05}
			first[60/tempo] = t.follow(look, glance, 60/tempo, .05).cost + costs[i]
		}
		slices.SortStableFunc(looks, func(a, b try) int { return cmp.Compare(first[a.period], first[b.period]) })
		out = append(out, apart(looks, promising)...)
	}
	return out
}

// apart are the first few of some tries whose tempos are not next to each other.
func apart(tries []try, most int) (out []try) {
	const beside = 1.12
	for _, y := range tries {
		near := slices.ContainsFunc(out, func(o try) bool { return max(o.period/y.period, y.period/o.period) < beside })
		if !near && len(out) < most {
			out = append(out, y)
		}
	}
	return out
}

// paths follows the taps in every way, and sorts what it finds, the likeliest first.
// Each way is followed twice, the second time with the patterns of beats that the
// first found.
func (t *Taps) paths(tries []try) []*path {
	out := make([]*path, len(tries))
	for i, y := range tries {
		p := t.follow(newLattice(y.style), careful, y.period, y.unsure)
		first := p.cost
		p = t.follow(newLattice(y.style.fitted(p.patterns())), careful, y.period, y.unsure)
		p.cost = (p.cost+first)/2 + y.cost
		out[i] = p
	}
	slices.SortStableFunc(out, func(a, b *path) int { return cmp.Compare(a.cost, b.cost) })
	return out
}

// styles are the bars that the taps may be in.
func (t *Taps) styles() []weighedStyle {
	var out []weighedStyle
	add := func(m Metre, cost float64) {
		if t.Swing > 0 {
			out = append(out, weighedStyle{styleOf(m, t.Swing), cost})
			return
		}
		out = append(out, weighedStyle{styleOf(m, .5), cost})
		if !m.compound() {
			out = append(out, weighedStyle{styleOf(m, 2./3), cost + 3})
		}
	}
	if t.Metre.Beats > 0 {
		add(t.Metre, 0)
		return out
	}
	for _, u := range usualMetres {
		add(u.metre, u.cost)
	}
	return out
}

// weighedStyle is a style and what it takes to believe in it.
type weighedStyle struct {
	style style
	cost  float64
}

// other reads the taps at half or double the tempo of a path, where no other
// level came up.
func (t *Taps) other(best *path) *path {
	factor := 2.
	if tempo := 60 / best.period(); tempo > 100 {
		factor = .5
	}
	s := best.lattice.style
	return t.paths([]try{{styleOf(s.metre, s.swing), 0, best.period() / factor, .05}})[0]
}

// period is the mean length of a beat along a path, in seconds.
func (p *path) period() float64 {
	sum, beats := 0., 0.
	for i, k := range p.ticks {
		sum += p.periods[i] * float64(k)
		beats += float64(k)
	}
	if beats == 0 {
		return p.periods[0]
	}
	return sum / beats
}
