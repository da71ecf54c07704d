package tree

// Limits bound what a page may ask for. A zero field takes the default of the
// same name; each limit is named in the error that meets it.
type Limits struct {
	Bytes       int // of text
	Notes       int // notes, with the repeats written out
	Depth       int // braces in braces, repeats in repeats
	Repeat      int // times round one repeat
	NoteBeats   int // beats one note may last
	TitleLength int // characters of a title
}

// DefaultLimits are the limits of a page where nobody lowers them.
func DefaultLimits() Limits {
	return Limits{Bytes: 64 << 10, Notes: 20_000, Depth: 4, Repeat: 16, NoteBeats: 256, TitleLength: 200}
}

// Options are what the caller knows better than the page. The zero value
// leaves everything to the page.
type Options struct {
	Convention Convention // empty for Auto
	Metre      Metre      // zero for the page's own
	Chords     bool       // the chords are played too: a page of chords alone is something to play, and what is no chord an error
	Limits     Limits
}

// Filled replaces the fields that are not positive by [DefaultLimits].
func (l Limits) Filled() Limits {
	standard := DefaultLimits()
	set := func(field *int, otherwise int) {
		if *field <= 0 {
			*field = otherwise
		}
	}
	set(&l.Bytes, standard.Bytes)
	set(&l.Notes, standard.Notes)
	set(&l.Depth, standard.Depth)
	set(&l.Repeat, standard.Repeat)
	set(&l.NoteBeats, standard.NoteBeats)
	set(&l.TitleLength, standard.TitleLength)
	return l
}
