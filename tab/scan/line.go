package scan

import (
	"strings"
	"unicode"

	"reedlark/tab/diag"
	"reedlark/tab/lexicon"
	"reedlark/tab/tree"
)

// Line is a line of the page, cut into items where it plays.
type Line struct {
	Number int // from 1
	Span   diag.Span
	Cells  Cells
	Kind   tree.LineKind
	Body   int    // first cell after what heads the line
	Listed int    // cells of the numbering that heads it; 0 for none
	Named  [2]int // cells of a section name that heads it, as in Intro:
	// Items are those of a line of tab or a section name, now that the dialect
	// is known.
	Items  []Item
	Label  int        // the byte after the breath word that heads it, as in Draw: 4 5; 0 for none
	Joined *Line      // the line that the notes of the other breath are on; nil for none
	Again  Again      // of a line that plays others again
	Metre  tree.Metre // that holds from the next line of tab on; zero for most lines
	Doubt  bool       // something on it cannot be read: what follows from that is not reported

	marks map[int]mark // what was recognised before the line is cut, by first cell; nil for none

	explains bool // it explains marks, whether the page has them or not
	legend   bool // it explains the marks of the page
	obeyed   bool // a header of the dialect that was read
	given    bool // it has no notes of its own: the row beside it has them
	lasting  bool // a header of the dialect that holds in every dialect
	spelled  bool // its cells are in letters, whatever was typed

	key    string // the word before the colon that heads it, lower case; "" for none of ours
	first  []Item // as they were before the dialect was known
	votes  votes
	headed int  // characters that say what a header would
	late   bool // a header below the first line of tab
}

// forced reports whether the page itself says what the line is.
func (l *Line) forced() bool { return l.key == "tab" || l.key == "text" }

// Legend reports whether the line explains marks, and whether those are marks of
// the page.
func (l *Line) Legend() (explains, obeyed bool) { return l.explains, l.legend }

// Given reports whether the line has no notes of its own because the row beside
// it has them.
func (l *Line) Given() bool { return l.given }

// OfDialect reports whether the line is a header that holds only in the dialect
// the page is typed in.
func (l *Line) OfDialect() bool {
	_, ours := asked[l.key]
	return ours && l.Kind == tree.HeaderLine && !l.lasting
}

// blank reports whether nothing is on the line.
func (l *Line) blank() bool { return l.Cells.SkipBlanks(0) == len(l.Cells) }

// At is the first cell that is not blank.
func (l *Line) At() int { return l.Cells.SkipBlanks(0) }

// keys are the words that head a line and say what it is.
var keys = map[string]tree.LineKind{
	"tab": tree.TabLine, "text": tree.TextLine, "count": tree.CountLine, "chords": tree.ChordsLine,
	"title": tree.HeaderLine, "harp": tree.HeaderLine, "tempo": tree.HeaderLine, "metre": tree.HeaderLine, "time": tree.HeaderLine,
	"blow": tree.HeaderLine, "draw": tree.HeaderLine, "bend": tree.HeaderLine, "over": tree.HeaderLine, "bracketed": tree.HeaderLine, "holds": tree.HeaderLine,
	"swing": tree.HeaderLine, "layout": tree.HeaderLine, "tuning": tree.HeaderLine, "style": tree.HeaderLine, "key": tree.HeaderLine,
	"spacing": tree.HeaderLine,
}

// longestKey is the number of letters of the longest of them.
const longestKey = 9

// readKey reads one of our words and its colon from cell i on.
func readKey(cells Cells, i int) (key string, body int) {
	from := cells.SkipBlanks(i)
	end := from
	for end < len(cells) && end-from <= longestKey && unicode.IsLetter(cells[end].R) {
		end++
	}
	key = strings.ToLower(cells[from:end].Text())
	colon := cells.SkipBlanks(end)
	if _, ours := keys[key]; !ours || !isColon(cells, colon) {
		return "", i
	}
	if _, dialect := asked[key]; dialect && cells[colon+1:].isRow() {
		return "", i
	}
	return key, colon + 1
}

// isColon reports whether cell i is a colon that is not part of a repeat sign.
func isColon(cells Cells, i int) bool {
	return i < len(cells) && cells[i].R == ':' && !cells.BarAt(i)
}

// readName reads a section name from cell i on: a word, or a word and a
// number, and a colon.
func readName(cells Cells, i int) (from, end int) {
	from = cells.SkipBlanks(i)
	end = from
	for end < len(cells) && (unicode.IsLetter(cells[end].R) || end > from && inWord(cells[end].R)) {
		end++
	}
	if end == from {
		return 0, 0
	}
	if digits := cells.SkipBlanks(end); digits > end && cells.SkipDigits(digits) > digits {
		end = cells.SkipDigits(digits)
	}
	if !isColon(cells, end) {
		return 0, 0
	}
	return from, end + 1
}

// inWord reports whether a word may have r inside it.
func inWord(r rune) bool { return r == '\'' || r == '-' || unicode.IsMark(r) }

// readListed reads a number that numbers the lines of a page, 1. or 1), from a
// cell on.
func readListed(cells Cells, from int) (n, end int) {
	from = cells.SkipBlanks(from)
	end = cells.SkipDigits(from)
	if end == from || end == len(cells) || cells[end].R != '.' && cells[end].R != ')' {
		return 0, 0
	}
	if end+1 < len(cells) && cells[end+1].R != Blank {
		return 0, 0
	}
	return cells[from:end].Number(), end + 1
}

// isRuled reports whether a line is a rule drawn with hold marks.
func isRuled(cells Cells) bool {
	beats := 0
	for _, c := range cells.Trimmed() {
		if HoldValue(c.R) == 0 {
			return false
		}
		beats += HoldValue(c.R)
	}
	return beats >= 3
}

// labels reports whether a name heads the line that is no part of a tune: one for
// a lone number (Likes: 12), or for what a header would say (Velocidad: 90).
func (l *Line) labels(from, end int) bool {
	name := nameOf(l.Cells[from:end].Text())
	for _, s := range lexicon.Senses(name) {
		if s.Meaning >= lexicon.Harp && s.Meaning <= lexicon.Metre {
			return true
		}
	}
	return isLoneHole(l.first) && !lexicon.Is(name, lexicon.Part)
}

// isLoneHole reports whether the items are one bare number, which behind a label
// (Likes: 12) counts something else than holes.
func isLoneHole(items []Item) bool {
	return len(items) == 1 && items[0].Kind == Note && items[0].Written.Plain()
}

// isLoneNumber reports whether the items are one bare number in square brackets.
func isLoneNumber(items []Item, cells Cells) bool {
	return len(items) == 3 && items[0].Kind == OpenBracket && cells[items[0].From].R == '[' &&
		items[1].Kind == Note && items[1].Written.Plain() && items[2].Kind == CloseBracket
}
