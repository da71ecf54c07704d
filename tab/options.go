package tab

// Limits bound what a page may ask for. A zero field takes the default of the
// same name; each limit is named in the error that meets it.
type Limits struct {
	Bytes       int // of text
	Notes       int // notes and rests, with the repeats written out
	Depth       int // braces in braces, repeats in repeats
	Repeat      int // times round one repeat
	NoteBeats   int // beats one note may last
	TitleLength int // characters of a title
}

// DefaultLimits are the limits of a page where nobody lowers them.
var DefaultLimits = Limits{Bytes: 64 << 10, Notes: 20_000, Depth: 4, Repeat: 16, NoteBeats: 256, TitleLength: 200}

// Options are what the caller knows better than the page. The zero value
// leaves everything to the page.
type Options struct {
	Convention Convention // empty for Auto
	Metre      Metre      // zero for the page's own
	Limits     Limits
}

// filled replaces the zero fields by the defaults.
func (l Limits) filled() Limits {
	set := func(field *int, otherwise int) {
		if *field <= 0 {
			*field = otherwise
		}
	}
	set(&l.Bytes, DefaultLimits.Bytes)
	set(&l.Notes, DefaultLimits.Notes)
	set(&l.Depth, DefaultLimits.Depth)
	set(&l.Repeat, DefaultLimits.Repeat)
	set(&l.NoteBeats, DefaultLimits.NoteBeats)
	set(&l.TitleLength, DefaultLimits.TitleLength)
	return l
}
