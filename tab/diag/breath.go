package diag

import "slices"

// What is said about the dialect of a page: how it shows blow, draw and bends.
const (
	LegendRead        Code = "legend-read"          // a line that explains the marks of the page is obeyed
	LegendUnread      Code = "legend-unread"        // a line that seems to explain a mark and could not be read
	LegendContradicts Code = "legend-contradicts"   // a legend turns round what most notes usually mean
	BracketsMayBeDraw Code = "brackets-may-be-draw" // holes in brackets on a page where nothing else is drawn
	UnknownMarks      Code = "unknown-marks"        // marks on the holes that nothing explains
	NoDrawFound       Code = "no-draw-found"        // dashes that may be draws on a page without any
	BareIsBlow        Code = "bare-is-blow"         // bare numbers where the only letters are for one breath
	SignRow           Code = "sign-row"             // a row of signs that may belong to the row beside it
	BracketedNumber   Code = "bracketed-number"     // a number in brackets glued behind a hole
	BracketsGroup     Code = "brackets-group"       // brackets that make chords of what is in them
	SplitOrBend       Code = "split-or-bend"        // -1/4, an octave or two notes
)

// breathQuestions ask which notes are blown and which are drawn.
var breathQuestions = []Code{
	LegendUnread, LegendContradicts, BracketsMayBeDraw, UnknownMarks, NoDrawFound, BareIsBlow, SignRow, BareNumber, LowerCaseB, HoldOrDraw,
}

// AsksBreath reports whether a diagnostic of this code, unless it is a mere
// note, asks which notes are blown and which are drawn. Until somebody answers,
// a page written in another convention would look more certain than it is.
func (c Code) AsksBreath() bool { return slices.Contains(breathQuestions, c) }
