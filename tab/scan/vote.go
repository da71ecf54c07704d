package scan

import (
	"regexp"
	"unicode"

	"reedlark/tab/diag"
)

// votes are what the words of a line say about it. Only words that are notes
// or something else vote.
type votes struct {
	notes, others int
	evidence      bool      // a note carries a sign, mark, letter, arrow or hold
	marked        bool      // a note carries a sign, mark or letter
	plain         bool      // some other word is letters only, two or more
	chord         bool      // some other word is a chord symbol or a pitch
	chordsOnly    bool      // every word that votes may be one
	first         diag.Span // the other word that decided
	titled        bool      // the line is a word and a bare number, as in Verse 2
	plays         bool      // something on it is neither name nor remark
}

// isTab reports whether words such as these make a line of tab.
func (v votes) isTab() bool {
	if v.others == 0 {
		return true
	}
	return !v.chord && v.notes > v.others && v.notes >= 2 && (v.evidence || !v.plain)
}

// likeTab reports whether a line of words looks so much like tab that a reader
// should be told it was read as words.
func (v votes) likeTab() bool {
	if v.chord && v.chordsOnly || v.titled {
		return false
	}
	return v.marked || v.notes > 0 && v.notes >= v.others
}

// tally counts the votes of items that belong to words in order.
func tally(items []Item, cells Cells) votes {
	v := votes{chordsOnly: true}
	for i := 0; i < len(items); {
		end := i
		for end < len(items) && items[end].word == items[i].word {
			end++
		}
		v.count(items[i:end], cells)
		i = end
	}
	v.titled = v.notes == 1 && v.others == 1 && v.plain && !v.evidence && items[0].Kind == Junk
	return v
}

// count adds the vote of one word.
func (v *votes) count(word []Item, cells Cells) {
	var notes, held int
	var junk *Item
	for i := range word {
		it := &word[i]
		switch it.Kind {
		case Note:
			notes++
			v.look(it)
		case Hold:
			if it.Adjacent && i > 0 && word[i-1].Kind == Note {
				held++
			}
		case Junk:
			if !it.grouped {
				junk = it
			}
		}
		v.plays = v.plays || it.Kind != Name && it.Kind != Remark && it.Kind != Direction && it.Kind != Words
	}
	switch {
	case junk != nil:
		v.other(junk, cells)
	case notes > 0:
		v.notes++
		v.evidence = v.evidence || held > 0
	}
}

// look notes what a note carries.
func (v *votes) look(it *Item) {
	if !it.Written.Plain() {
		v.evidence, v.marked = true, true
	}
	if !isLetter(it.Written.Letter) {
		v.chordsOnly = false
	}
}

// other adds a word that is not a note.
func (v *votes) other(it *Item, cells Cells) {
	if v.others == 0 {
		v.first = it.Span
	}
	v.others++
	word := cells[it.From:it.To].Text()
	switch {
	case chordForm.MatchString(word):
		v.chord, v.first = true, it.Span
	case plainWord(word):
		v.plain, v.chordsOnly = true, false
	default:
		v.chordsOnly = false
	}
}

// chordForm matches a chord symbol (A7, Em, F#m7b5, C/G) or a pitch (C5, Bb4).
var chordForm = regexp.MustCompile(`^[A-G][#b♯♭]?(maj|min|dim|aug|sus|add|m|M|°|o|ø|Δ|\+|-|[#b♯♭]?\d{1,2})*(/[A-G][#b♯♭]?)?$`)

// plainWord reports whether a word is letters only, two or more.
func plainWord(s string) bool {
	n := 0
	for _, r := range s {
		if !unicode.IsLetter(r) && !unicode.IsMark(r) {
			return false
		}
		n++
	}
	return n >= 2
}
