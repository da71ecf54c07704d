package scan

import (
	"strings"
	"unicode"

	"reedlark/tab/diag"
	"reedlark/tab/lexicon"
	"reedlark/tab/tree"
)

// markWords marks what is words wherever it is written: times, dates, links and
// addresses.
func (l *Line) markWords() {
	if !l.Cells.hasAny(":/@.-♪♫[(") && !l.Cells.wordy() {
		return
	}
	l.markStrokes()
	l.markSyllables()
	for i := l.Body; i < len(l.Cells); {
		i = l.Cells.SkipBlanks(i)
		end := l.Cells.wordEnd(i)
		if end > i && l.Cells[i:end].mayBeFact() && isFact(l.Cells[i:end].Text()) {
			l.mark(i, mark{kind: Words, to: end})
		} else if last := l.Cells.dateAt(i, end); last > 0 {
			l.mark(i, mark{kind: Words, to: last})
			end = last
		}
		i = end
	}
}

// markStrokes marks strokes that divide notes, as in 6 / 6 / -6: each between two
// words, never two together and none at an end.
func (l *Line) markStrokes() {
	var strokes []int
	after := true // a stroke, or the start of the line
	for i := l.Cells.SkipBlanks(l.Body); i < len(l.Cells); i = l.Cells.SkipBlanks(i) {
		end := l.Cells.wordEnd(i)
		stroke := end == i+1 && l.Cells[i].R == '/'
		if stroke && after {
			return
		}
		if stroke {
			strokes = append(strokes, i)
		}
		after, i = stroke, end
	}
	if after {
		return
	}
	for _, i := range strokes {
		l.mark(i, mark{kind: Words, to: i + 1})
	}
}

// markSyllables marks the words between bracketed notes, as in [6]Hap[6]py; the
// brackets there show which note a syllable has, and group nothing.
func (l *Line) markSyllables() {
	pairs := pairBrackets(l.Cells, l.Body)
	var openers []int
	for i := range l.Cells {
		end, paired := pairs[i]
		if !paired || end < i || !l.Cells[i+1:end].hasDigit() {
			continue
		}
		if n, plain := plainLetters(l.Cells[end+1 : l.syllableEnd(end+1)].Text()); plain && n > 1 {
			openers = append(openers, i)
		}
	}
	if len(openers) < 2 {
		return
	}
	for _, i := range openers {
		l.mark(i, mark{kind: Words, to: i + 1})
		l.mark(pairs[i], mark{kind: Words, to: l.syllableEnd(pairs[i] + 1)})
	}
}

// syllableEnd is the cell after the word that begins right at a cell.
func (l *Line) syllableEnd(i int) int {
	for i < len(l.Cells) && l.Cells[i].R != Blank && l.Cells[i].R != '[' && l.Cells[i].R != '(' {
		i++
	}
	return i
}

// syllableRun is how many lines of a note and its syllable make a tune.
const syllableRun = 4

// findSyllables makes rows of the lines that hold one note and the words behind
// it, where many of them follow each other; numbers that count up from 1 number
// the lines of a text.
func (p *reader) findSyllables() {
	for i := 0; i < len(p.Lines); i++ {
		from, counts := i, true
		for i < len(p.Lines) && p.Lines[i].isSyllable() {
			first := &p.Lines[i].first[0]
			n := p.Lines[i].Cells[first.From:first.To]
			counts = counts && first.Written.Plain() && n.Number() == i-from+1
			i++
		}
		if i-from < syllableRun || counts {
			continue
		}
		for _, l := range p.Lines[from:i] {
			l.Kind = tree.TabLine
		}
	}
}

// isSyllable reports whether a line is one note and plain words.
func (l *Line) isSyllable() bool {
	if l.Kind != tree.TextLine || l.key != "" || len(l.first) < 2 || l.first[0].Kind != Note {
		return false
	}
	for i := range l.first[1:] {
		it := &l.first[i+1]
		if _, plain := plainLetters(l.Cells[it.From:it.To].Text()); it.Kind != Junk || !plain {
			return false
		}
	}
	return true
}

// hasAny reports whether one of some characters is among the cells.
func (c Cells) hasAny(set string) bool {
	for _, x := range c {
		if strings.ContainsRune(set, x.R) {
			return true
		}
	}
	return false
}

// wordEnd is the cell after the word at cell i.
func (c Cells) wordEnd(i int) int {
	for i < len(c) && c[i].R != Blank {
		i++
	}
	return i
}

// mayBeFact reports whether a word has a sign without which it is no fact; most
// words of a row have none, and cost no more than this.
func (c Cells) mayBeFact() bool {
	dashes := 0
	for _, x := range c {
		switch x.R {
		case ':', '/', '@', '.', '♪', '♫', '♩', '♬':
			return true
		case '-':
			dashes++
		}
	}
	return dashes == 2
}

// isFact reports whether a word is a time (0:15), a date with a year of four
// digits, a link, an address of mail, or notes drawn as decoration.
func isFact(word string) bool {
	word = strings.Trim(word, "()[],;!?")
	word = strings.TrimSuffix(word, ".")
	switch {
	case strings.Trim(word, "♪♫♩♬") == "" && word != "":
		return true
	case strings.Contains(word, "://"), strings.HasPrefix(word, "www."):
		return true
	case strings.Contains(word, "@"):
		return strings.LastIndexByte(word, '.') > strings.IndexByte(word, '@')
	}
	return isTime(word) || isDate(word)
}

// isTime reports whether a word is hours and minutes, or minutes and seconds.
func isTime(word string) bool {
	parts := strings.Split(word, ":")
	if len(parts) < 2 || len(parts) > 3 {
		return false
	}
	for i, p := range parts {
		if !digits(p) || i > 0 && len(p) != 2 || len(p) > 2 {
			return false
		}
	}
	return true
}

// isDate reports whether a word is a day, a month and a year of four digits, in
// any order that is in use. ref: ISO 8601 for year first; else common practice.
func isDate(word string) bool {
	for _, sign := range []string{"-", "/", "."} {
		parts := strings.Split(word, sign)
		if len(parts) != 3 || !digits(parts[0]) || !digits(parts[1]) || !digits(parts[2]) {
			continue
		}
		first, last := len(parts[0]), len(parts[2])
		return len(parts[1]) <= 2 && (first == 4 && last <= 2 || first <= 2 && last == 4)
	}
	return false
}

// digits reports whether a word is digits and not empty.
func digits(word string) bool { return word != "" && strings.Trim(word, "0123456789") == "" }

// dateAt is the cell after a date in words, such as “12 March” or “March 12,
// 2019”, whose first word is at cell i and ends at end; 0 for none.
func (c Cells) dateAt(i, end int) int {
	next := c.SkipBlanks(end)
	after := c.wordEnd(next)
	if i == end || next == after || IsDigit(c[i].R) == IsDigit(c[next].R) {
		return 0
	}
	first, second := trimWord(c[i:end].Text()), trimWord(c[next:after].Text())
	month := lexicon.Is(second, lexicon.Month) && isDay(first) || lexicon.Is(first, lexicon.Month) && isDay(second)
	if !month {
		return 0
	}
	year := c.SkipBlanks(after)
	if stop := c.wordEnd(year); len(trimWord(c[year:stop].Text())) == 4 && digits(trimWord(c[year:stop].Text())) {
		return stop
	}
	return after
}

func trimWord(word string) string { return strings.Trim(word, ",.()") }

// isDay reports whether a word is the day of a month: 12 or 12th.
func isDay(word string) bool {
	n := len(word)
	for _, tail := range []string{"st", "nd", "rd", "th"} {
		word = strings.TrimSuffix(word, tail)
	}
	return n <= 4 && digits(word) && len(word) <= 2
}

// wordsAtEnds makes words of a run of plain words at one end of a row, beyond
// which there is no note. What can be played is never words.
func (p *reader) wordsAtEnds(items []Item, cells Cells) {
	p.wordRun(items, cells, 0, 1)
	p.wordRun(items, cells, len(items)-1, -1)
}

// wordRun looks from one end of a row inwards.
func (p *reader) wordRun(items []Item, cells Cells, from, step int) {
	var run []int
	letters := false
loop:
	for i := from; i >= 0 && i < len(items); i += step {
		switch items[i].Kind {
		case Junk:
			word := cells[items[i].From:items[i].To].Text()
			n, plain := plainLetters(word)
			if !plain || aboutPlaying(word) {
				return
			}
			letters = letters || n > 1
			run = append(run, i)
		case Words, Remark, Comma, Bar, Name:
		default:
			break loop
		}
	}
	if !letters {
		return
	}
	for _, i := range run {
		items[i].Kind = Words
	}
}

// plainLetters counts the letters of a plain word: letters with apostrophes and
// hyphens inside, and punctuation around.
func plainLetters(word string) (letters int, plain bool) {
	inner := strings.TrimFunc(word, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) && !unicode.IsDigit(r) })
	for _, r := range inner {
		switch {
		case unicode.IsLetter(r):
			letters++
		case unicode.IsMark(r), r == '\'', r == '-':
		default:
			return 0, false
		}
	}
	return letters, letters > 0
}

// checkWords warns of a word about playing that stands on a row and is not
// obeyed: rest, hold, twice.
func (p *reader) checkWords(items []Item) {
	for i := range items {
		it := &items[i]
		if (it.Kind == Words || it.Kind == Junk) && p.wordOfPlaying(it) {
			it.Kind = Words
		}
	}
}

// wordOfPlaying warns of an item that is a word about playing, such as rest.
func (p *reader) wordOfPlaying(it *Item) bool {
	word := strings.TrimFunc(p.Text[it.Span.Start:it.Span.End], func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) && !unicode.IsDigit(r) })
	for _, obeyed := range wordsOfPlaying {
		if lexicon.Is(word, obeyed.meaning) {
			p.sayWord(it, obeyed.write)
			return true
		}
	}
	return false
}

// wordsOfPlaying are the meanings that a word beside notes must not lose in
// silence, and what to write instead; "" where that depends.
var wordsOfPlaying = []struct {
	meaning lexicon.Meaning
	write   string
}{
	{lexicon.Rest, "r"},
	{lexicon.Hold, "-"},
	{lexicon.Repeat, "x2"},
	{lexicon.Slide, "->"},
	{lexicon.Shake, ""},
}

// aboutPlaying reports whether a word is about breath, technique, time or
// repeating, and so is never just a word.
func aboutPlaying(word string) bool {
	word = strings.TrimFunc(word, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) })
	for _, s := range lexicon.Senses(word) {
		if s.Meaning <= lexicon.Shake && !s.Weak {
			return true
		}
	}
	return false
}

func (p *reader) sayWord(it *Item, write string) {
	at := it.Span
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.WordUnplayed, Span: at,
		Message: "“{word}” is read as a word and changes nothing about the notes.",
		Hint:    map[bool]string{true: "Write " + write + " where it is meant.", false: "Write it as a sign on its note, or leave it out."}[write != ""],
		Values:  diag.Values{diag.Text("word", p.Text[at.Start:at.End])},
		Edits: func(e *diag.Editor) {
			if write != "" {
				e.Write(write)
			}
			e.TakeOut().Keep()
		},
	})
}
