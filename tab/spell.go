package tab

import (
	"strconv"
	"strings"

	"reedlark/tab/notes"
	"reedlark/tab/scan"
)

// spell is an item in the canonical spelling of a convention.
func spell(it *notes.Item, r *notes.Row, to Convention, text string) string {
	typed := text[it.Span.Start:it.Span.End]
	switch it.Kind {
	case scan.Note:
		return spellNote(it, to, typed)
	case scan.Rest:
		return "r"
	case scan.Hold:
		return strings.Repeat("-", written1(r, it))
	case scan.Slide:
		return spellSlide(r.Line.Cells[it.From:it.To].Text())
	case scan.Times:
		return spellTimes(r.Line.Cells[it.From:it.To].Text())
	case scan.Comma, scan.Bar, scan.OpenBracket, scan.CloseBracket, scan.OpenBrace, scan.CloseBrace:
		return r.Line.Cells[it.From:it.To].Text()
	case scan.OpenRepeat:
		return "|:"
	case scan.CloseRepeat:
		return ":|"
	}
	return typed
}

// written1 is how many beats the hold marks of a run were written for, even
// where there was nothing for them to hold.
func written1(r *notes.Row, it *notes.Item) int {
	n := 0
	for _, c := range r.Line.Cells[it.From:it.To] {
		n += scan.HoldValue(c.R)
		if c.R == '~' { // a shake held longer
			n++
		}
	}
	return n
}

// spellSlide keeps the spellings that any keyboard has.
func spellSlide(typed string) string {
	if strings.HasSuffix(typed, ">") {
		return typed
	}
	return "->"
}

// spellTimes keeps the brackets of (2x), and writes x2 in them.
func spellTimes(typed string) string {
	digits := strings.Trim(typed, "()[] xX")
	inner := "x" + digits
	if typed[0] == '(' || typed[0] == '[' {
		return typed[:1] + inner + typed[len(typed)-1:]
	}
	return inner
}

// spellNote writes a note in a convention; one that could not be read stays as
// typed.
func spellNote(it *notes.Item, to Convention, typed string) string {
	if it.Note == nil {
		return typed
	}
	return Spell(it.Note, to)
}

// Spell is a note in the canonical spelling of a convention: "-3//", "D3//" or
// "3↓//". Auto is written as Signs. Slides and brackets are not part of it.
func Spell(n *Note, to Convention) string {
	var holes strings.Builder
	for _, h := range n.Holes {
		holes.WriteString(strconv.Itoa(h))
	}
	marks := strings.Repeat("/", n.Bend)
	if n.Over {
		marks = "*"
	}
	if n.Shake {
		marks += "~"
	}
	drawn := n.Breath == Draw
	switch to {
	case Letters:
		return map[bool]string{true: "D", false: "B"}[drawn] + holes.String() + marks
	case Arrows:
		return holes.String() + map[bool]string{true: "↓", false: "↑"}[drawn] + marks
	}
	return map[bool]string{true: "-", false: ""}[drawn] + holes.String() + marks
}

// needsBlank reports whether two items that were glued, b being written as wrote,
// would be read as something else if they stayed so.
func needsBlank(a, b *notes.Item, wrote string, to Convention) bool {
	switch b.Kind {
	case scan.Note:
		apart := a.Kind == scan.Hold || a.Kind == scan.Comma || a.Kind == scan.Rest
		return apart || a.Kind == scan.Note && to == Signs && b.Written.Sign != '-' || barLike(a) && b.Written.Letter != 0 && bareDigit(wrote)
	case scan.OpenBracket, scan.OpenBrace, scan.Name, scan.Remark:
		return a.Kind == scan.Hold
	case scan.Slide:
		return a.Kind == scan.Hold && wrote != "-->"
	}
	return false
}

// barLike reports whether a bare digit behind the item could be the number of an
// ending.
func barLike(it *notes.Item) bool {
	return it.Kind == scan.Bar || it.Kind == scan.OpenRepeat || it.Kind == scan.CloseRepeat
}

// bareDigit reports whether a note is one digit and nothing else.
func bareDigit(wrote string) bool { return len(wrote) == 1 && scan.IsDigit(rune(wrote[0])) }
