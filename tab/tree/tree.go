// Package tree is a page of tab as read, in plain data: lines, notes with their
// holes, and the piece in playing order. It knows neither how a page is written
// nor pitch nor time. The stages of reading fill it, each a package of its own:
// [reedlark/tab/scan] cuts the page into lines and items, [reedlark/tab/notes]
// makes notes of the items, and [reedlark/tab/unfold] puts them into playing
// order. Package tab names these types for everybody else.
package tree

import (
	"reedlark/tab/beat"
	"reedlark/tab/chord"
	"reedlark/tab/diag"
)

// Convention is how a page tells blow from draw.
type Convention string

// The conventions. Auto asks Parse to find out. Pages are printed in the first
// three only.
const (
	Auto     Convention = "auto"
	Signs    Convention = "signs"    // 4 -4
	Letters  Convention = "letters"  // B4 D4, or 4B 4D
	Arrows   Convention = "arrows"   // 4↑ 4↓, or ↑4 ↓4
	Trailing Convention = "trailing" // 4+ 4-
	Brackets Convention = "brackets" // 4 (4), or the other way round
	Words    Convention = "words"    // 4 blow, 4 draw
	Marks    Convention = "marks"    // 4^ 4v, or any other marks the page explains
)

// Dialect is how a page writes its notes, each question settled separately. A
// mark is written with hole 4, so that its side is clear: "-4", "4v", "(4)".
type Dialect struct {
	Convention             Convention // never Auto
	Blow, Draw, Bend, Over string     // the mark; "" where the page has none
	Bracketed              Bracketed
	Because                Because // what settled the first question that anything settled
	Line                   int     // from 1, of that header or legend; 0 for none
}

// Bracketed is what brackets around notes mean.
type Bracketed string

// The meanings of brackets.
const (
	BracketedOptional Bracketed = "optional" // grace notes and filler
	BracketedDraw     Bracketed = "draw"
	BracketedBlow     Bracketed = "blow"
	BracketedTogether Bracketed = "together"
)

// Because is what settled a dialect.
type Because string

// What settles a dialect, the strongest first.
const (
	BecauseRequest Because = "request"
	BecauseHeader  Because = "header"
	BecauseLegend  Because = "legend"
	BecauseNotes   Because = "notes"
	BecauseDefault Because = "default"
)

// Breath is the direction the air moves.
type Breath string

// The two breaths.
const (
	Blow Breath = "blow"
	Draw Breath = "draw"
)

// LineKind is what a line of the page is read as.
type LineKind string

// The kinds of line.
const (
	TabLine     LineKind = "tab"
	CountLine   LineKind = "count"
	ChordsLine  LineKind = "chords"
	TextLine    LineKind = "text"
	SectionLine LineKind = "section"
	HeaderLine  LineKind = "header"
	CommentLine LineKind = "comment"
)

// Role is the part an event has in the music.
type Role uint8

// The roles of what is written. Filler has its own beats; grace has none.
const (
	Melody Role = iota
	Filler
	Grace
)

// String is the role in a word, such as "melody".
func (r Role) String() string { return [...]string{"melody", "filler", "grace"}[r] }

// Line is one line of the page.
type Line struct {
	Number int // from 1
	Kind   LineKind
	Span   diag.Span // the line end left out
	Text   string    // as typed
}

// Note is one written note: the holes one breath sounds together.
type Note struct {
	Span   diag.Span // from its first sign to its last mark
	Text   string    // as typed
	Breath Breath
	Holes  []int // 1 to 10, distinct, in the order written
	Bend   int   // semitones down, 0 to 12
	Over   bool  // overblow or overdraw, as the breath says
	Shake  bool  // vibrato on one hole, alternation on two

	// Where a slide touches the note, the arrow's place; else nil. At most
	// one of SlideTo and SlideOff is set.
	SlideIn  *diag.Span // a slide from nowhere in particular lands on it
	SlideTo  *diag.Span // a slide goes on to the next note of the phrase
	SlideOff *diag.Span // a slide falls off it
}

// Field is the value of a header as typed: `Harp: low F` has the value "low F".
type Field struct {
	Value string
	Span  diag.Span // of the value
	Line  diag.Span // of the whole header line
	// InWords says that no header gives it: it was found in the page's own words,
	// and its value is spelled as a header would.
	InWords bool
}

// Head is what the page says about itself. What only an instrument can judge
// (harp, layout, tuning) is kept as typed, empty where the page is silent;
// the rest is read, zero where the page is silent or said nothing that fits.
type Head struct {
	Title  string
	Harp   Field // of Harp: or, as its stand-in, Key:
	IsKey  bool  // Harp was given as Key:
	Layout Field
	Tuning Field
	Style  Field // of those who play along
	// Position is the one the page's words name, 1 to 12; 0 for none.
	Position int
	Tempo    float64 // beats a minute
	Metre    Metre
	Swing    float64 // 0.5 to 0.75
	Spaced   bool    // the blanks between notes show how long they are
}

// Metre is a time signature; the zero Metre is none. A beat is its lower figure.
type Metre struct{ Beats, Unit int }

// Event is a note or a rest in playing order, with repeats written out.
type Event struct {
	Note  *Note     // nil for a rest
	Span  diag.Span // of the note or the rest
	Line  int       // from 1
	Start beat.Time // beats from the start of the piece
	Beats beat.Time // 0 for a grace note
	Role  Role
	// Swung says that the event starts on the half of a beat that swing moves.
	Swung bool
	// NewPhrase says that a breath, a rest, a repeat sign or the start of a line
	// lies between this event and the one before it.
	NewPhrase bool
	// Breath says that a written breath (a comma) comes just before the event.
	Breath bool
}

// Mark is a moment at which the playing enters or leaves a line of tab. A line
// that plays more than once by `x2` is left once, after its last time.
type Mark struct {
	Line  int // from 1
	At    beat.Time
	Leave bool
}

// Piece is a page in playing order.
type Piece struct {
	Events []Event
	Marks  []Mark        // in order of time
	Beats  beat.Time     // length of the whole piece
	Bars   []beat.Time   // where each bar starts, ascending; empty where nothing on the page says
	Bar    beat.Time     // a whole bar, by the metre or as counted; 0 where neither says
	Pickup beat.Time     // beats before the first whole bar; 0 for none
	Chords []Change      // in order of time; each sounds until the next
	Metres []MetreChange // in order of time; empty where the metre never changes
}

// MetreChange is a moment at which the metre changes.
type MetreChange struct {
	At    beat.Time // beats from the start of the piece
	Metre Metre
}

// Change is a moment at which the chord changes.
type Change struct {
	At    beat.Time // beats from the start of the piece
	Chord chord.Chord
	Span  diag.Span // of the symbol
}

// Section is a part of the page that has a name.
type Section struct {
	Line int    // from 1: the line that has the name on it, alone or before tab
	Name string // without its brackets or colon
}
