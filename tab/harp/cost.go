package harp

import (
	"math"
	"slices"
)

// What a note costs a player, plain notes nothing. A note that is missing
// outweighs all overs, an over all bends, and a bend all moves of the mouth.
// by ear: only the order matters, and that is common practice, no source.
const (
	costMissing = 10_000.0
	costOver    = 100.0
	costRare    = 150.0 // an over few can do
	costBend    = 1.0   // to begin with
	costDeeper  = 0.25  // for each semitone more
	costCut     = 0.5   // for a chord of which only the top is played
	costOctave  = 2.0   // for each octave away from where it is written
	costHole    = 0.01  // for each hole the mouth moves
	costTurn    = 0.02  // for turning the breath round in the middle of a phrase
	costLeap    = 0.5   // for each hole a move is wider than one, on average
	costTurns   = 0.1   // for each turn of the breath in a phrase, on average
)

// costPosition is what a position costs, the more usual the less: straight and
// cross harp, then third and twelfth, fourth and fifth. Common practice, no
// source.
func costPosition(position int) float64 {
	switch position {
	case 1:
		return 0
	case 2:
		return 0.1
	case 3, 12:
		return 0.3
	case 4, 5:
		return 0.5
	}
	return 1
}

// cost is that of one place.
func (p *Place) cost() float64 {
	switch {
	case p.Rare:
		return costRare
	case p.Technique == Over:
		return costOver
	case p.Technique == Bend:
		return costBend + costDeeper*float64(p.Semitones-1)
	}
	return 0
}

// cost is that of a touch, without the way there.
func (t *Touch) cost() float64 {
	if len(t.Places) == 0 {
		return costMissing
	}
	cost := t.Places[0].cost()
	if t.Cut {
		cost += costCut
	}
	return cost
}

// moveFrom is the cost of coming from another touch.
func (t *Touch) moveFrom(before *Touch, phrase bool) float64 {
	if len(t.Places) == 0 || len(before.Places) == 0 {
		return 0
	}
	cost := costHole * float64(t.holesFrom(before))
	if !phrase && before.Places[0].Breath != t.Places[0].Breath {
		cost += costTurn
	}
	return cost
}

// holesFrom is how far the mouth moves, by the top notes.
func (t *Touch) holesFrom(before *Touch) int {
	by := t.Places[len(t.Places)-1].Hole - before.Places[len(before.Places)-1].Hole
	return max(by, -by)
}

// judge says what it takes to play a melody by certain touches.
func (f *finder) judge(h Harp, octave int, touches []Touch) Way {
	w := Way{Harp: h, Octave: octave, Touches: touches, Position: h.Key.Position(f.wish.Song)}
	cost := costOctave*math.Abs(float64(octave)) + costPosition(w.Position)
	moves := moves{phrases: 1}
	for i := range touches {
		t := &touches[i]
		cost += t.cost()
		w.count(t, f.melody[i])
		if i > 0 {
			moves.add(t, &touches[i-1], f.melody[i].Phrase)
		}
	}
	slices.Sort(w.Missing)
	w.Missing = slices.Compact(w.Missing)
	w.Cost = cost + moves.cost()
	return w
}

// count adds what one sound takes.
func (w *Way) count(t *Touch, s Sound) {
	if len(t.Places) == 0 {
		w.Missing = append(w.Missing, s.Midi[len(s.Midi)-1])
		return
	}
	switch p := t.Places[0]; p.Technique {
	case Bend:
		w.Bends++
		w.Semitones += p.Semitones
	case Over:
		w.Overs++
	}
}

// moves adds up how the mouth moves.
type moves struct{ count, wide, turns, phrases int }

func (m *moves) add(t, before *Touch, phrase bool) {
	if phrase {
		m.phrases++
	}
	if len(t.Places) == 0 || len(before.Places) == 0 {
		return
	}
	m.count++
	m.wide += max(t.holesFrom(before)-1, 0)
	if !phrase && t.Places[0].Breath != before.Places[0].Breath {
		m.turns++
	}
}

func (m *moves) cost() float64 {
	return costLeap*float64(m.wide)/float64(max(m.count, 1)) + costTurns*float64(m.turns)/float64(m.phrases)
}

// Judge is a melody played on a harp by touches that are given, one for each
// sound: what it takes.
func (h Harp) Judge(melody []Sound, octave int, touches []Touch, wish Wish) Way {
	f := &finder{melody: melody, wish: wish}
	return f.judge(h, octave, touches)
}

// Cost is what a touch costs a player who comes from another: 0 or more, only
// its order has a meaning.
func (t Touch) Cost(before Touch) float64 { return t.cost() + t.moveFrom(&before, false) }

// Allows says whether a player with this wish plays all of some touches.
func (w Wish) Allows(touches []Touch) bool {
	for _, t := range touches {
		for _, p := range t.Places {
			if !w.allows(p) {
				return false
			}
		}
	}
	return true
}
