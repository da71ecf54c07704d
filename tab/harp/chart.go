package harp

// Place is one sound of a harp: where it lies, how it is played, its pitch.
type Place struct {
	Hole      int
	Breath    Breath
	Technique Technique
	Semitones int // depth of a bend, 1 for an over, 0 for a plain note
	Pitch     Pitch
	Rare      bool // few players get it
}

// Hole is all that one hole can play.
type Hole struct {
	Number int // 1 to 10
	Blow   Place
	Draw   Place
	Bends  []Place // the shallowest first; empty where the reeds lie too close
	Over   *Place  // nil where the two reeds are one note
}

// Chart lists the ten holes with everything that can be played on them.
func (h Harp) Chart() []Hole {
	holes := make([]Hole, Holes)
	for i := range holes {
		holes[i] = h.hole(i + 1)
	}
	return holes
}

func (h Harp) hole(n int) Hole {
	hole := Hole{Number: n, Blow: h.place(n, Blow, Plain, 0), Draw: h.place(n, Draw, Plain, 0), Bends: []Place{}}
	for _, breath := range []Breath{Blow, Draw} {
		for depth := 1; depth <= h.Layout.Depth(n, breath); depth++ {
			hole.Bends = append(hole.Bends, h.place(n, breath, Bend, depth))
		}
		if h.Layout.Over(n, breath) {
			over := h.place(n, breath, Over, 1)
			hole.Over = &over
		}
	}
	return hole
}

func (h Harp) place(hole int, breath Breath, technique Technique, semitones int) Place {
	return Place{
		Hole: hole, Breath: breath, Technique: technique, Semitones: semitones,
		Pitch: h.Sound(hole, breath, technique, semitones),
		Rare:  technique == Over && RareOver(hole),
	}
}

// Find lists the places of a harp where a MIDI note can be played, from the
// lowest hole up, plain notes before bends before overs.
func (h Harp) Find(midi int) []Place {
	found := []Place{}
	for _, hole := range h.Chart() {
		places := append([]Place{hole.Blow, hole.Draw}, hole.Bends...)
		if hole.Over != nil {
			places = append(places, *hole.Over)
		}
		for _, p := range places {
			if p.Pitch.Midi == midi {
				found = append(found, p)
			}
		}
	}
	return found
}
