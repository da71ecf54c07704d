package quantise

import (
	"cmp"
	"math"
	"slices"
)

// reading is one way to understand the taps so far.
type reading struct {
	place  int
	before int // of the readings of the tap before; -1 for none
	ticks  ticks
	clock  clock
	cost   float64
}

// beam is how much is kept while a path is looked for.
type beam struct {
	perPlace int     // readings of each place, which differ in their tempo
	widest   int     // readings of each tap
	hopeless float64 // nats behind the best
}

var (
	glance  = beam{1, 10, 9}
	careful = beam{2, 32, 14}
)

// path is a reading of all taps.
type path struct {
	lattice *lattice
	places  []int
	ticks   []ticks   // from the tap before; 0 for the first
	periods []float64 // seconds a beat takes at each tap
	cost    float64
	start   ticks // of the first note, in its bar
}

// follow finds the likeliest path at about one tempo.
func (t *Taps) follow(l *lattice, kept beam, period, unsure float64) *path {
	taps := make([][]reading, len(t.Onsets))
	taps[0] = t.begin(l, usualHands, period, unsure)
	var room []reading
	for i := 1; i < len(t.Onsets); i++ {
		room = t.next(l, kept, taps[i-1], i, room[:0])
		taps[i] = kept.best(room)
	}
	return trace(l, taps)
}

// begin is the first tap, at every place.
func (t *Taps) begin(l *lattice, h hands, period, unsure float64) []reading {
	var out []reading
	for p, cost := range l.first {
		if math.IsInf(cost, 1) {
			continue
		}
		cost += t.phase(l.style.played(l.places[p].at()), period)
		out = append(out, reading{place: p, before: -1, clock: h.startClock(t.Onsets[0], period, unsure), cost: cost})
	}
	return out
}

// phase is what a place of the first tap costs beside the clicks: a beat should
// lie on a click, or as late as taps are.
func (t *Taps) phase(beats, period float64) float64 {
	const lag, spread = .02, .06 // seconds; by ear
	if len(t.Clicks) == 0 {
		return 0
	}
	off := t.Onsets[0] - lag - beats*period - t.Clicks[0]
	off -= math.Round(off/period) * period
	return off * off / (2 * spread * spread)
}

// next goes on from the readings of one tap to those of the following one.
func (t *Taps) next(l *lattice, kept beam, from []reading, i int, out []reading) []reading {
	tap, h, best := t.Onsets[i], usualHands, math.Inf(1)
	for k, r := range from {
		gap := min((tap-r.clock.at)/r.clock.period, longest)
		more := l.wholeBars(gap)
		extra := more * l.style.metre.Beats
		wide := min(.22+.12*gap+3*h.noise/r.clock.period, widest)
		for _, a := range near(l.arcs[r.place], gap-float64(extra), wide) {
			sofar := r.cost + a.cost + float64(more) + t.barred(i, a.bars+more)
			if sofar+least >= best+kept.hopeless {
				continue
			}
			c, cost := h.step(r.clock, a.beats+float64(extra), tap)
			cost += sofar
			if cost < best+kept.hopeless {
				best = min(best, cost)
				out = append(out, reading{a.to, k, a.ticks + ticks(extra)*perBeat, c, cost})
			}
		}
	}
	return out
}

// least is below what any tap costs: that of one exactly where it should be.
const least = -3

// widest is how far from its length a gap may be read, in beats.
const widest = 2.5

// longest is the longest gap that is told apart, in beats.
const longest = 1e5

// wholeBars is how many bars pass in a gap that is longer than any arc.
func (l *lattice) wholeBars(gap float64) int {
	if gap <= farthest-1 {
		return 0
	}
	return int(math.Ceil((gap - farthest + 1) / float64(l.style.metre.Beats)))
}

// near are the arcs about as long as a gap, the nearest if none is, and not too many.
func near(arcs []arc, gap, wide float64) []arc {
	const most = 12 // to each side
	by := func(a arc, x float64) int { return cmp.Compare(a.beats, x) }
	at, _ := slices.BinarySearchFunc(arcs, gap, by)
	from, to := max(at-most, 0), min(at+most, len(arcs))
	for from < at-1 && arcs[from].beats < gap-wide {
		from++
	}
	for to > at+1 && arcs[to-1].beats > gap+wide {
		to--
	}
	return arcs[from:to]
}

// barred is what it costs to cross another number of bar lines than the page has.
func (t *Taps) barred(i, bars int) float64 {
	if t.Bars == nil || t.Bars[i] < 0 {
		return 0
	}
	return min(5*math.Abs(float64(bars-t.Bars[i])), 10)
}

// best drops the readings that will not win, and sorts the rest.
func (kept beam) best(all []reading) []reading {
	least := math.Inf(1)
	for i := range all {
		least = min(least, all[i].cost)
	}
	all = slices.DeleteFunc(all, func(r reading) bool { return r.cost > least+kept.hopeless })
	slices.SortFunc(all, func(a, b reading) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.place, b.place), cmp.Compare(a.before, b.before))
	})
	out := make([]reading, 0, min(len(all), kept.widest))
	for _, r := range all {
		if len(out) == kept.widest {
			break
		}
		same := 0
		for _, o := range out {
			if o.place == r.place {
				same++
			}
		}
		if same < kept.perPlace {
			out = append(out, r)
		}
	}
	return out
}

// trace goes back from the best reading of the last tap.
func trace(l *lattice, taps [][]reading) *path {
	n := len(taps)
	out := &path{lattice: l, places: make([]int, n), ticks: make([]ticks, n), periods: make([]float64, n)}
	best := 0
	for k, r := range taps[n-1] {
		if r.cost < taps[n-1][best].cost {
			best = k
		}
	}
	out.cost = taps[n-1][best].cost
	for i := n - 1; i >= 0; i-- {
		r := taps[i][best]
		out.places[i], out.ticks[i], out.periods[i] = r.place, r.ticks, r.clock.period
		best = r.before
	}
	out.start = l.places[out.places[0]].at()
	return out
}

// patterns counts the beats of a path by what they hold. A beat is over where
// the next note is not in it.
func (p *path) patterns() map[pattern]int {
	found := map[pattern]int{}
	at := p.start
	for i, k := range p.places {
		at += p.ticks[i]
		if i+1 == len(p.places) || (at+p.ticks[i+1])/perBeat != at/perBeat {
			found[p.lattice.places[k].had]++
		}
		if i+1 < len(p.places) {
			found[0] += max(int((at+p.ticks[i+1])/perBeat-at/perBeat)-1, 0)
		}
	}
	return found
}
