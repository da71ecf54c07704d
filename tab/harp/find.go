package harp

import (
	"cmp"
	"fmt"
	"slices"
)

// Sound is what a melody asks a harp for at one moment.
type Sound struct {
	Midi   []int // the notes that sound together, the lowest first
	Phrase bool  // a phrase begins with it, so there is time to turn the breath
}

// Touch is how a harp plays a sound.
type Touch struct {
	Places []Place // of one breath, one for each note; empty where the harp lacks it
	Cut    bool    // only the top note of a chord is played: no one breath has all
}

// Wish is what a player wants of the ways to play a melody. The zero Wish
// takes anything but overs, for a song in C.
type Wish struct {
	Bends    Bends
	Overs    bool // overs are allowed
	Octave   *int // octaves above where it is written; nil for whichever is easiest
	Song     int  // the key note of the song, as a MIDI note in any octave
	Position int  // only harps that play the song in this position, 1 to 12; 0 for any
}

// Bends says which bends a player uses.
type Bends string

// The bends a player uses. BendsAny is the zero value.
const (
	BendsAny  Bends = ""
	BendsDraw Bends = "draw"
	BendsNone Bends = "none"
)

// ParseBends reads the name of a choice of bends: any, draw or none.
func ParseBends(s string) (Bends, error) {
	switch s {
	case "", "any":
		return BendsAny, nil
	case string(BendsDraw), string(BendsNone):
		return Bends(s), nil
	}
	return "", fmt.Errorf("%q is not a choice of bends: write any, draw or none", s)
}

// allows says whether a player with this wish plays a place.
func (w Wish) allows(p Place) bool {
	switch p.Technique {
	case Over:
		return w.Overs
	case Bend:
		return w.Bends == BendsAny || w.Bends == BendsDraw && p.Breath == Draw
	}
	return true
}

// Way is a melody on one harp.
type Way struct {
	Harp      Harp
	Octave    int     // octaves it is played above where it is written
	Touches   []Touch // one for each sound
	Position  int     // in which the song is played, 1 to 12
	Bends     int     // how many of the sounds are bent
	Semitones int     // the depth of all bends together
	Overs     int     // how many are overs
	Missing   []int   // the MIDI notes that it lacks, as written, each once, ascending
	Cost      float64 // what it asks of the player, from 0; only the order of costs has a meaning
}

// farthest is how far a melody is moved to fit a harp, octaves.
const farthest = 4

// Ways plays a melody on each harp in the easiest way, and sorts the ways by
// their cost. Where a harp lacks notes, its way has as few of them as it can,
// and comes after all ways that lack none. The harps that do not play the song
// in the position wished for are left out.
func Ways(melody []Sound, harps []Harp, wish Wish) []Way {
	ways := []Way{}
	f := newFinder(melody, wish)
	for _, h := range harps {
		if wish.Position == 0 || h.Key.Position(wish.Song) == wish.Position {
			ways = append(ways, f.best(h))
		}
	}
	slices.SortStableFunc(ways, func(a, b Way) int { return cmp.Compare(a.Cost, b.Cost) })
	return ways
}

// Standard lists the twelve harps of a layout in their usual registers, from C
// up. It fails where [New] does.
func Standard(layout Layout, tuning Tuning, a4 float64) ([]Harp, error) {
	harps := make([]Harp, 0, len(keyNames))
	for _, key := range Keys() {
		h, err := New(key, layout, tuning, a4)
		if err != nil {
			return nil, err
		}
		harps = append(harps, h)
	}
	return harps, nil
}

// Position is the position, 1 to 12, in which a song whose key note is this
// MIDI note, in any octave, is played: see [Key.SongKey].
func (k Key) Position(keyNote int) int {
	fifths, _ := splitOctave(7 * (keyNote - k.class)) // 7 fifths up are a semitone
	return fifths + 1
}
