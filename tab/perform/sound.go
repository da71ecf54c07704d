package perform

import "reedlark/tab/score"

// sounds are the notes of the score in the making.
type sounds struct {
	notes   []score.Note
	manners []manner // of each note
}

// manner is what the player alone has to know of a note.
type manner struct {
	at    *span   // in the page
	wish  float64 // seconds it likes to last; 0 for a note with beats
	fresh bool    // a breath is taken before it
	link  link
}

// sound is one of the sounds: its times count from the first beat played, and
// how it meets its neighbours is not settled yet. It is to be used before more
// sounds are added.
type sound struct {
	*score.Note
	*manner
}

func newSounds(room int) *sounds {
	return &sounds{make([]score.Note, 0, room), make([]manner, 0, room)}
}

// sound is the one at an index.
func (o *sounds) sound(i int) sound { return sound{&o.notes[i], &o.manners[i]} }

// add appends a sound.
func (o *sounds) add(n score.Note, m manner) sound {
	o.notes, o.manners = append(o.notes, n), append(o.manners, m)
	return o.sound(len(o.notes) - 1)
}

// end is when the next sound may begin.
func (s sound) end() float64 { return s.Start + s.Seconds }
