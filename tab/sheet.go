package tab

import (
	"strings"
	"unicode"

	"reedlark/tab/diag"
)

// sheet is a line on its way to being read.
type sheet struct {
	number int
	span   diag.Span
	cells  []cell
	kind   LineKind
	key    string // the word before the colon that heads it, lower case; "" for none of ours
	body   int    // first cell after what heads the line
	listed int    // cells of the numbering that heads it; 0 for none
	named  [2]int // cells of a section name that heads it, as in Intro:
	items  []item
	votes  votes
	after  bool // a header that comes too late
}

// forced says that the page itself says what the line is.
func (s *sheet) forced() bool { return s.key == "tab" || s.key == "text" }

// blank says nothing is on the line.
func (s *sheet) blank() bool { return skipBlanks(s.cells, 0) == len(s.cells) }

// at is the first cell that is no blank.
func (s *sheet) at() int { return skipBlanks(s.cells, 0) }

// keys are the words that head a line and say what it is.
var keys = map[string]LineKind{
	"tab": TabLine, "text": TextLine, "count": CountLine, "chords": ChordsLine,
	"title": HeaderLine, "harp": HeaderLine, "tempo": HeaderLine, "metre": HeaderLine, "time": HeaderLine,
	"swing": HeaderLine, "layout": HeaderLine, "tuning": HeaderLine, "key": HeaderLine,
}

// longestKey is the number of letters of the longest of them.
const longestKey = 6

// readKey reads one of our words and its colon from cell i on.
func readKey(cells []cell, i int) (key string, body int) {
	from := skipBlanks(cells, i)
	end := from
	for end < len(cells) && end-from <= longestKey && unicode.IsLetter(cells[end].r) {
		end++
	}
	key = strings.ToLower(words(cells[from:end]))
	colon := skipBlanks(cells, end)
	if _, ours := keys[key]; !ours || !isColon(cells, colon) {
		return "", i
	}
	return key, colon + 1
}

// isColon says a colon is at cell i that is no part of a repeat sign.
func isColon(cells []cell, i int) bool {
	return i < len(cells) && cells[i].r == ':' && !barStarts(cells, i)
}

// readName reads a section name from cell i on: a word, or a word and a
// number, and a colon.
func readName(cells []cell, i int) (from, end int) {
	from = skipBlanks(cells, i)
	end = from
	for end < len(cells) && (unicode.IsLetter(cells[end].r) || end > from && inWord(cells[end].r)) {
		end++
	}
	if end == from {
		return 0, 0
	}
	if digits := skipBlanks(cells, end); digits > end && skipDigits(cells, digits) > digits {
		end = skipDigits(cells, digits)
	}
	if !isColon(cells, end) {
		return 0, 0
	}
	return from, end + 1
}

// inWord says that a word may have r inside it.
func inWord(r rune) bool { return r == '\'' || r == '-' || unicode.IsMark(r) }

// readListed reads a number that numbers the lines of a page, 1. or 1), from a
// cell on.
func readListed(cells []cell, from int) (n, end int) {
	from = skipBlanks(cells, from)
	end = skipDigits(cells, from)
	if end == from || end == len(cells) || cells[end].r != '.' && cells[end].r != ')' {
		return 0, 0
	}
	if end+1 < len(cells) && cells[end+1].r != blankRune {
		return 0, 0
	}
	return number(cells[from:end]), end + 1
}

// isRuled says a line is a rule drawn with hold marks.
func isRuled(cells []cell) bool {
	beats := 0
	for _, c := range trimmed(cells) {
		if holdValue(c.r) == 0 {
			return false
		}
		beats += holdValue(c.r)
	}
	return beats >= 3
}

// isLoneNumber says that the items are one bare number in square brackets.
func isLoneNumber(items []item, cells []cell) bool {
	return len(items) == 3 && items[0].kind == openBracket && cells[items[0].from].r == '[' &&
		items[1].kind == noteItem && items[1].written.plain() && items[2].kind == closeBracket
}
