package tab

import "reedlark/tab/tree"

// The types of a page as read, which are those of package tree.
type (
	Convention = tree.Convention
	Dialect    = tree.Dialect
	Breath     = tree.Breath
	LineKind   = tree.LineKind
	Role       = tree.Role
	Line       = tree.Line
	Note       = tree.Note
	Field      = tree.Field
	Head       = tree.Head
	Metre      = tree.Metre
	Event      = tree.Event
	Mark       = tree.Mark
	Piece      = tree.Piece
	Change     = tree.Change
	Section    = tree.Section
	Options    = tree.Options
	Limits     = tree.Limits
)

// The words of those types.
const (
	Auto     = tree.Auto
	Signs    = tree.Signs
	Letters  = tree.Letters
	Arrows   = tree.Arrows
	Trailing = tree.Trailing
	Brackets = tree.Brackets
	Words    = tree.Words
	Marks    = tree.Marks

	Blow = tree.Blow
	Draw = tree.Draw

	TabLine     = tree.TabLine
	CountLine   = tree.CountLine
	ChordsLine  = tree.ChordsLine
	TextLine    = tree.TextLine
	SectionLine = tree.SectionLine
	HeaderLine  = tree.HeaderLine
	CommentLine = tree.CommentLine

	Melody = tree.Melody
	Filler = tree.Filler
	Grace  = tree.Grace
)

// DefaultLimits are the limits of a page where nobody lowers them.
func DefaultLimits() Limits { return tree.DefaultLimits() }

// ParseMetre reads a time signature such as "6/8": 1 to 32 beats, the lower
// figure 2, 4, 8 or 16. It reports false for anything else.
func ParseMetre(s string) (Metre, bool) { return tree.ParseMetre(s) }
