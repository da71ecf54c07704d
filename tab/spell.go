package tab

import (
	"strconv"
	"strings"
)

// spell is an item in the canonical spelling of a convention.
func spell(it *item, r *row, to Convention, text string) string {
	typed := text[it.span.Start:it.span.End]
	switch it.kind {
	case noteItem:
		return spellNote(it, to, typed)
	case restItem:
		return "r"
	case holdItem:
		return strings.Repeat("-", written1(r, it))
	case slideItem:
		return spellSlide(words(r.cells[it.from:it.to]))
	case timesItem:
		return spellTimes(words(r.cells[it.from:it.to]))
	case breathItem, barItem, openBracket, closeBracket, openBrace, closeBrace:
		return words(r.cells[it.from:it.to])
	case openRepeat:
		return "|:"
	case closeRepeat:
		return ":|"
	}
	return typed
}

// written1 is how many beats the hold marks of a run were written for, even
// where there was nothing for them to hold.
func written1(r *row, it *item) int {
	n := 0
	for _, c := range r.cells[it.from:it.to] {
		n += holdValue(c.r)
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
func spellNote(it *item, to Convention, typed string) string {
	if it.note == nil {
		return typed
	}
	return Spell(it.note, to)
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

// needsBlank says that two items that were glued, b being written as wrote,
// would be read as something else if they stayed so.
func needsBlank(a, b *item, wrote string, to Convention) bool {
	switch b.kind {
	case noteItem:
		apart := a.kind == holdItem || a.kind == breathItem || a.kind == restItem
		return apart || a.kind == noteItem && to == Signs && b.written.sign != '-'
	case openBracket, openBrace, nameItem, remarkItem:
		return a.kind == holdItem
	case slideItem:
		return a.kind == holdItem && wrote != "-->"
	}
	return false
}
