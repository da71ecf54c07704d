package picture

import (
	"math"
	"slices"

	"reedlark/tab/score"
)

// plan is what goes where.
type plan struct {
	score    *score.Score
	bars     []moment // starts of bars, over all rounds
	beats    []moment // starts of the other beats
	systems  []system
	low      int     // the lowest hole shown
	high     int     // the highest
	scale    float64 // units a second
	semitone float64 // units a semitone
}

// moment is a place in time that the grid marks.
type moment struct {
	number  int     // of the bar, from 1; 0 for a beat
	beat    float64 // of the piece
	seconds float64
}

// system is a stretch of time that is drawn in one strip.
type system struct{ from, to float64 }

// Bounds on how dense and how wide notes stand.
const (
	systemBeats = 8    // at an easy density
	shortest    = 20.0 // units that most notes should at least get
	fewestRows  = 4
)

func newPlan(s *score.Score, o Options) *plan {
	p := &plan{score: s}
	p.chooseRows()
	p.chooseScale()
	clock := newClock(s, o)
	p.bars = clock.bars(o.Bars)
	p.beats = clock.beats(p.bars)
	p.chooseSystems(clock.zero, clock.end())
	return p
}

// chooseRows shows the holes in use and a few around them, and makes the rows
// take the deepest bend.
func (p *plan) chooseRows() {
	p.low, p.high = 10, 1
	deepest := 3
	for _, n := range p.score.Notes {
		for _, v := range n.Voices {
			p.low, p.high = min(p.low, v.Hole), max(p.high, v.Hole)
			if v.Technique == score.Bend {
				deepest = max(deepest, v.Semitones)
			}
		}
	}
	if p.low > p.high {
		p.low, p.high = 1, 10
	}
	for p.high-p.low+1 < fewestRows {
		p.low, p.high = max(1, p.low-1), min(10, p.high+1)
	}
	p.semitone = (row - bar - 4) / float64(deepest)
}

// chooseScale gives a strip eight beats, or fewer where the notes are short:
// nine in ten should be wide enough to be written on.
func (p *plan) chooseScale() {
	var lengths []float64
	for _, n := range p.score.Notes {
		if n.Role == score.Melody {
			lengths = append(lengths, n.Seconds)
		}
	}
	p.scale = plot / (systemBeats * p.beat())
	if len(lengths) > 0 {
		slices.Sort(lengths)
		p.scale = max(p.scale, min(shortest/max(lengths[len(lengths)/10], 1e-3), 4*p.scale))
	}
}

// beat is the length of one, seconds.
func (p *plan) beat() float64 { return 60 / max(p.score.Tempo, 1) }

// chooseSystems breaks the time into strips, at the last bar that fits or, in a
// long bar, at the last beat.
func (p *plan) chooseSystems(from, end float64) {
	if len(p.score.Notes) > 0 {
		from = min(from, p.score.Notes[0].Start)
	}
	span := plot / p.scale
	for end-from > span+1e-9 {
		to := p.breakBefore(from, from+span)
		p.systems = append(p.systems, system{from, to})
		from = to
	}
	p.systems = append(p.systems, system{from, end})
}

func (p *plan) breakBefore(from, limit float64) float64 {
	for _, marks := range [][]moment{p.bars, p.beats} {
		fitting := within(marks, system{from, limit + 2e-9})
		if n := len(fitting); n > 0 && fitting[n-1].seconds > from+(limit-from)/3 {
			return fitting[n-1].seconds
		}
	}
	return limit
}

// band is the height over the rows of a strip.
func (p *plan) band() float64 {
	if len(p.score.Chords) > 0 {
		return topBand + chords
	}
	return topBand
}

func (p *plan) rows() float64         { return float64(p.high - p.low + 1) }
func (p *plan) systemHeight() float64 { return p.band() + p.rows()*row + gap }
func (p *plan) height() float64 {
	return head + float64(len(p.systems))*p.systemHeight() + foot
}

// top is where the rows of a strip begin.
func (p *plan) top(i int) float64 { return head + float64(i)*p.systemHeight() + p.band() }

// x is where a moment lies in a strip.
func (p *plan) x(s system, seconds float64) float64 { return left + (seconds-s.from)*p.scale }

// y is the middle of a note in a hole, as many semitones above its reed.
func (p *plan) y(i, hole int, semitones float64) float64 {
	inRow := 2 + bar/2 - semitones*p.semitone
	return p.top(i) + float64(p.high-hole)*row + inRow
}

// within are the moments of a strip.
func within(all []moment, s system) []moment {
	first, _ := slices.BinarySearchFunc(all, s.from-1e-9, byTime)
	end, _ := slices.BinarySearchFunc(all, s.to-1e-9, byTime)
	return all[first:end]
}

func byTime(m moment, seconds float64) int {
	switch {
	case m.seconds < seconds:
		return -1
	case m.seconds > seconds:
		return 1
	}
	return 0
}

// above is how far a pitch lies above the reed it comes from, semitones, kept
// to what a row has room for.
func above(hz, reed float64) float64 {
	if hz <= 0 || reed <= 0 {
		return 0
	}
	return max(-12, min(1, 12*math.Log2(hz/reed)))
}
