package quantise

import (
	"cmp"
	"math"
	"slices"
)

// place is where a note can lie: a beat of the bar, and the pattern of that beat
// up to the note.
type place struct {
	beat int
	had  pattern
}

// at is the place counted from the start of the bar.
func (p place) at() ticks {
	last := 0
	for i := range slots {
		if p.had.has(i) {
			last = i
		}
	}
	return ticks(p.beat)*perBeat + slots[last]
}

// arc is a way from one place to the next note's.
type arc struct {
	to    int
	ticks ticks
	beats float64 // as played: swing moves the halves
	bars  int     // bar lines crossed
	cost  float64
}

// lattice holds all places of a bar and the ways between them.
type lattice struct {
	style  style
	places []place
	first  []float64 // cost of beginning there
	arcs   [][]arc   // by length
}

// farthest is how long an arc may be, in beats. Longer notes pass whole bars more.
const farthest = 9

// held is how many beats of a note make it one that is held, or the end of a
// phrase: from there on it may as well be longer. by ear.
const held = 3

func newLattice(s style) *lattice {
	l := &lattice{style: s}
	index := map[place]int{}
	for b := range s.metre.Beats {
		for _, list := range s.fill {
			for _, w := range list {
				for slot := range slots {
					p := place{b, w.pattern.upTo(slot)}
					if _, known := index[p]; !known && w.pattern.has(slot) {
						index[p] = len(l.places)
						l.places = append(l.places, p)
					}
				}
			}
		}
	}
	for _, p := range l.places {
		l.first = append(l.first, l.begin(p))
		l.arcs = append(l.arcs, l.from(p, index))
	}
	return l
}

// begin is the cost of a tune beginning at a place.
func (l *lattice) begin(p place) float64 {
	if p.had&(p.had-1) != 0 {
		return math.Inf(1) // the beat had a note before
	}
	if p.had == patternOf(0) {
		return -math.Log(l.style.metre.starts(p.beat))
	}
	return -math.Log(.08 * l.style.metre.starts(p.beat))
}

// from lists the ways on from a place.
func (l *lattice) from(p place, index map[place]int) []arc {
	var arcs []arc
	start, m := p.at(), l.style.metre
	add := func(next place, beats int, probability float64) {
		if probability <= 0 {
			return
		}
		to := ticks(beats)*perBeat + next.at()%perBeat
		arcs = append(arcs, arc{
			to: index[next], ticks: to - start, beats: l.style.played(to) - l.style.played(start),
			bars: beats / m.Beats, cost: -math.Log(probability),
		})
	}
	sofar := l.mass(p.beat, p.had, last(p.had))
	for slot := last(p.had) + 1; slot < len(slots); slot++ {
		next := p.had | 1<<slot
		add(place{p.beat, next}, p.beat, l.mass(p.beat, next, slot)/sofar)
	}
	left := l.mass(p.beat, p.had, len(slots)-1) / sofar
	for beats := p.beat + 1; beats <= p.beat+farthest && left > 0; beats++ {
		b := beats % m.Beats
		for slot := range slots {
			add(place{b, 1 << slot}, beats, left*l.mass(b, 1<<slot, slot))
		}
		empty := l.mass(b, 0, len(slots)-1)
		if beats >= p.beat+held {
			empty = max(empty, .6)
		}
		left *= empty
	}
	slices.SortStableFunc(arcs, func(a, b arc) int { return cmp.Compare(a.beats, b.beats) })
	return arcs
}

// mass is the probability that a beat looks like a pattern up to a slot.
func (l *lattice) mass(b int, p pattern, slot int) float64 {
	on := l.style.metre.onBeat(b)
	weight := [2]float64{1 - on, on}
	sum := 0.0
	for i, list := range l.style.fill {
		for _, w := range list {
			if w.pattern.upTo(slot) == p {
				sum += weight[i] * w.weight
			}
		}
	}
	return sum
}

// last is the slot of the last note of a pattern that has one.
func last(p pattern) int {
	for i := len(slots) - 1; i > 0; i-- {
		if p.has(i) {
			return i
		}
	}
	return 0
}
