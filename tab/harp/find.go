package harp

import (
	"cmp"
	"math"
	"slices"
)

// Way is a melody on one harp.
type Way struct {
	Harp   Harp
	Octave int     // octaves it is played above where it is written
	Places []Place // one for each note
	Bends  int     // how many of the notes are bent
	Overs  int     // how many are overs
	effort float64
}

// What a note costs a player, plain notes nothing. by ear: only the order
// matters, and that is common practice, no source.
const (
	effortBend   = 1.0  // to begin with
	effortDeeper = 0.25 // for each semitone more
	effortOver   = 4.0
	effortRare   = 6.0  // an over few can do
	effortOctave = 2.0  // for each octave away from where it is written
	effortHole   = 0.01 // for each hole the mouth moves
	effortTurn   = 0.02 // for turning the breath round
)

// maxOctaves is how far a melody is moved to fit a harp.
const maxOctaves = 2

// Ways finds on which of the twelve harps of a layout, in their usual registers,
// a melody of MIDI notes can be played, at most once on each, the easiest first.
// A melody that does not lie on a harp where it is written, or not well, is
// played in another octave there. Where a note is found twice, the way of the
// least effort through the whole melody decides. It fails where [New] does.
func Ways(melody []int, layout Layout, tuning Tuning, a4 float64) ([]Way, error) {
	ways := []Way{}
	for _, key := range Keys() {
		h, err := New(key, layout, tuning, a4)
		if err != nil {
			return nil, err
		}
		if w, ok := h.way(melody); ok {
			ways = append(ways, w)
		}
	}
	slices.SortStableFunc(ways, func(a, b Way) int { return cmp.Compare(a.effort, b.effort) })
	return ways, nil
}

// way is the easiest way to play a melody on a harp.
func (h Harp) way(melody []int) (best Way, ok bool) {
	best.effort = math.Inf(1)
	for octave := -maxOctaves; octave <= maxOctaves; octave++ {
		path, effort := h.path(melody, 12*octave)
		effort += effortOctave * math.Abs(float64(octave))
		if path != nil && effort < best.effort {
			best = Way{Harp: h, Octave: octave, Places: path, effort: effort}
		}
	}
	for _, p := range best.Places {
		switch p.Technique {
		case Bend:
			best.Bends++
		case Over:
			best.Overs++
		}
	}
	return best, best.Places != nil
}

// step is one place of a note and the easiest way there.
type step struct {
	place  Place
	from   int // of the steps of the note before
	effort float64
}

// path is the easiest path through the places of all notes, moved by some
// semitones, and its effort; nil where a note is not to be had. It is the
// shortest path of dynamic programming: the best way to a place goes by the
// best way to some place before.
func (h Harp) path(melody []int, moved int) ([]Place, float64) {
	found := map[int][]Place{}
	var steps [][]step
	for i, midi := range melody {
		places, known := found[midi]
		if !known {
			places = h.Find(midi + moved)
			found[midi] = places
		}
		if len(places) == 0 {
			return nil, 0
		}
		row := make([]step, len(places))
		for k, p := range places {
			row[k] = step{place: p, effort: effort(p)}
			if i > 0 {
				row[k].arrive(steps[i-1])
			}
		}
		steps = append(steps, row)
	}
	return back(steps)
}

// arrive picks the step before from which the way is the easiest.
func (s *step) arrive(before []step) {
	least := math.Inf(1)
	for i, b := range before {
		e := b.effort + effortHole*math.Abs(float64(b.place.Hole-s.place.Hole))
		if b.place.Breath != s.place.Breath {
			e += effortTurn
		}
		if e < least {
			s.from, least = i, e
		}
	}
	s.effort += least
}

// back goes from the best last step to the first.
func back(steps [][]step) ([]Place, float64) {
	if len(steps) == 0 {
		return nil, 0
	}
	last := steps[len(steps)-1]
	best := 0
	for i := range last {
		if last[i].effort < last[best].effort {
			best = i
		}
	}
	path, at := make([]Place, len(steps)), best
	for i := len(steps) - 1; i >= 0; i-- {
		path[i] = steps[i][at].place
		at = steps[i][at].from
	}
	return path, last[best].effort
}

func effort(p Place) float64 {
	switch {
	case p.Rare:
		return effortRare
	case p.Technique == Over:
		return effortOver
	case p.Technique == Bend:
		return effortBend + effortDeeper*float64(p.Semitones-1)
	}
	return 0
}

// Position is the position, 1 to 12, in which a song whose key note is this
// MIDI note, in any octave, is played: see [Key.SongKey].
func (k Key) Position(keyNote int) int {
	fifths, _ := splitOctave(7 * (keyNote - k.class)) // 7 fifths up are a semitone
	return fifths + 1
}
