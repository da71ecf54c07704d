package arrange

import (
	"slices"
	"strings"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// Ways is how each of the harps would play a tune, the easiest first. Grace
// notes do not count: one that the harp lacks is left out.
func Ways(t *melody.Tune, o Options) []harp.Way {
	t = transposed(t, o.Transpose)
	wish := o.Wish
	wish.Song = Song(t, o)
	sounds := sounds(t)
	ways := harp.Ways(sounds, o.Harps, wish)
	if fingered, ok := asFingered(t, sounds, o.Harps, wish); ok {
		ways = slices.DeleteFunc(ways, func(w harp.Way) bool { return w.Harp.Key == fingered.Harp.Key })
		ways = slices.Insert(ways, 0, fingered)
	}
	return ways
}

// Song is the key note of a tune, as a pitch class: the caller's, the file's,
// or else the last note.
func Song(t *melody.Tune, o Options) int {
	switch {
	case o.HasSong:
		return o.Wish.Song
	case t.Key != nil:
		return t.Key.Tonic
	case len(t.Notes) > 0:
		return t.Notes[len(t.Notes)-1].Top().Midi % 12
	}
	return 0
}

// sounds are the notes of a tune as a harp is asked for them, graces left out.
func sounds(t *melody.Tune) []harp.Sound {
	out := make([]harp.Sound, 0, len(t.Notes))
	var end beat.Time
	breath := true
	for i := range t.Notes {
		n := &t.Notes[i]
		if n.Grace {
			continue
		}
		midi := make([]int, len(n.Pitches))
		for k, p := range n.Pitches {
			midi[k] = p.Midi
		}
		out = append(out, harp.Sound{Midi: midi, Phrase: breath || end.Less(n.At)})
		end, breath = n.End(), n.Breath
	}
	return out
}

// asFingered is a tune on the harp and with the holes that its file names, if
// it names all of them and they sound the notes.
func asFingered(t *melody.Tune, sounds []harp.Sound, harps []harp.Harp, wish harp.Wish) (harp.Way, bool) {
	name, found := strings.CutPrefix(t.Instrument, "Harmonica in ")
	key, err := harp.ParseKey(name)
	if !found || err != nil || wish.Octave != nil && *wish.Octave != 0 {
		return harp.Way{}, false
	}
	i := slices.IndexFunc(harps, func(h harp.Harp) bool { return h.Key == key })
	if i < 0 || wish.Position > 0 && key.Position(wish.Song) != wish.Position {
		return harp.Way{}, false
	}
	touches := make([]harp.Touch, 0, len(sounds))
	read := map[string]*tab.Note{}
	for k := range t.Notes {
		if n := &t.Notes[k]; !n.Grace {
			touch, ok := touchOf(harps[i], n, read)
			if !ok {
				return harp.Way{}, false
			}
			touches = append(touches, touch)
		}
	}
	w := harps[i].Judge(sounds, 0, touches, wish)
	w.Cost = 0 // it is what the writer of the file chose
	return w, wish.Allows(touches)
}

// touchOf plays a note as the file says.
func touchOf(h harp.Harp, n *melody.Note, read map[string]*tab.Note) (harp.Touch, bool) {
	written, known := read[n.Fingering]
	if !known {
		written = readFingering(n.Fingering)
		read[n.Fingering] = written
	}
	if written == nil {
		return harp.Touch{}, false
	}
	var touch harp.Touch
	for _, hole := range written.Holes {
		touch.Places = append(touch.Places, placeOf(h, written, hole))
	}
	slices.SortFunc(touch.Places, func(a, b harp.Place) int { return a.Hole - b.Hole })
	return touch, sameNotes(touch, n)
}

// readFingering reads one note of tab, in any convention; nil for none.
func readFingering(text string) *tab.Note {
	events := tab.Parse("tab: "+text+"\n", tab.Options{}).Unfold().Events
	if len(events) != 1 || text == "" {
		return nil
	}
	return events[0].Note
}

func placeOf(h harp.Harp, n *tab.Note, hole int) harp.Place {
	p := harp.Place{Hole: hole, Breath: harp.Breath(n.Breath), Technique: harp.Plain}
	switch {
	case n.Over:
		p.Technique, p.Semitones, p.Rare = harp.Over, 1, harp.RareOver(hole)
	case n.Bend > 0:
		p.Technique, p.Semitones = harp.Bend, n.Bend
	}
	p.Pitch = h.Sound(hole, p.Breath, p.Technique, p.Semitones)
	return p
}

// sameNotes says whether a touch sounds a note, no more and no less.
func sameNotes(touch harp.Touch, n *melody.Note) bool {
	if len(touch.Places) != len(n.Pitches) {
		return false
	}
	var midi []int
	for _, p := range touch.Places {
		midi = append(midi, p.Pitch.Midi)
	}
	slices.Sort(midi)
	for i, p := range n.Pitches {
		if p.Midi != midi[i] {
			return false
		}
	}
	return true
}

// spell writes a touch as tab.
func spell(touch harp.Touch, shake bool) string {
	n := tab.Note{Breath: tab.Breath(touch.Places[0].Breath), Shake: shake}
	for _, p := range touch.Places {
		n.Holes = append(n.Holes, p.Hole)
	}
	switch p := touch.Places[0]; p.Technique {
	case harp.Over:
		n.Over = true
	case harp.Bend:
		n.Bend = p.Semitones
	}
	return tab.Spell(&n, tab.Signs)
}
