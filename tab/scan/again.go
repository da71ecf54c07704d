package scan

import (
	"slices"
	"strings"
	"unicode"

	"reedlark/tab/diag"
	"reedlark/tab/lexicon"
	"reedlark/tab/tree"
)

// Again says which lines a line plays once more.
type Again struct {
	From, To int // lines, both included
	Times    int
	Doubtful bool // it repeats more rows than its writer is likely to have meant
}

// manyRows is how many rows a bare (x2) may repeat without a question.
const manyRows = 6

// section is a named part of the page and the rows it has.
type section struct {
	from, to int // lines, both included; 0 for no rows
}

// sections follows the parts of the page from top to bottom.
type sections struct {
	*reader
	named map[string]section
	name  string // of the section being read, "" for none
	now   section
	block []*Line // rows since the last blank line, heading or (x2)
}

// findAgain finds the lines that have something above them played once more: an
// empty section named like an earlier one, “repeat chorus”, “chorus x2”, or a
// (x2) alone on its line.
func (p *reader) findAgain() {
	s := &sections{reader: p, named: map[string]section{}}
	for i, l := range p.Lines {
		switch {
		case l.blank():
			s.block = nil
		case l.timesAlone() > 0:
			s.repeatBlock(l)
		case l.ditto() && len(s.block) > 0:
			above := s.block[len(s.block)-1].Number
			s.plays(l, Again{From: above, To: above, Times: 1})
		case l.Kind == tree.TabLine:
			s.row(l)
		case l.Kind == tree.SectionLine && len(l.Items) == 0, l.Kind == tree.TextLine && l.key == "":
			s.heading(i)
		}
	}
}

// row adds a row to the section and to the block it stands in.
func (s *sections) row(l *Line) {
	if l.Named[1] > 0 {
		s.begin(nameOf(l.Cells[l.Named[0]:l.Named[1]].Text()))
	}
	if s.now.from == 0 {
		s.now.from = l.Number
	}
	s.now.to = l.Number
	s.block = append(s.block, l)
	if s.name != "" {
		s.named[s.name] = s.now
	}
}

// begin begins a section; one that plays again keeps its first rows.
func (s *sections) begin(name string) {
	s.name, s.now, s.block = name, section{}, nil
	if s.named[name].from > 0 {
		s.name = ""
	}
}

// heading meets a line of words, which may name a section or ask for one.
func (s *sections) heading(i int) {
	l := s.Lines[i]
	name, times, asks := request(l.Cells.Trimmed().Text())
	if name == "" {
		return
	}
	target, known := s.named[name]
	named := l.Kind == tree.SectionLine || lexicon.Is(firstWord(name), lexicon.Part)
	switch {
	case known && asks && l.Kind != tree.SectionLine, known && (asks || named) && !s.hasRows(i):
		s.plays(l, Again{From: target.from, To: target.to, Times: times})
		return
	case s.orders(name):
		s.doubtOrder(l)
		return
	}
	if l.Kind == tree.SectionLine || s.rowFollows(i) && (named || i == 0 || s.Lines[i-1].blank()) { // not words under a row
		s.begin(name)
	}
}

// hasRows reports whether rows follow a heading before the next.
func (s *sections) hasRows(i int) bool {
	for _, l := range s.Lines[i+1:] {
		switch {
		case l.Kind == tree.TabLine:
			return l.Named[1] == 0
		case l.Kind == tree.SectionLine:
			return false
		case l.Kind == tree.TextLine && l.key == "":
			if name, _, _ := request(l.Cells.Trimmed().Text()); s.named[name].from > 0 {
				return false
			}
		}
	}
	return false
}

// firstWord is a name up to its first blank.
func firstWord(name string) string {
	word, _, _ := strings.Cut(name, " ")
	return word
}

// orders reports whether a line lists two sections or more that have rows, such
// as “Play A B A”; a word that is no section may head it.
func (s *sections) orders(name string) bool {
	words := strings.Fields(name)
	if len(words) > 2 && s.named[words[0]].from == 0 {
		words = words[1:]
	}
	for _, w := range words {
		if s.named[w].from == 0 {
			return false
		}
	}
	return len(words) > 1
}

// doubtOrder warns that an order of sections is not played.
func (s *sections) doubtOrder(l *Line) {
	end := l.At() + len(l.Cells.Trimmed())
	s.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.OrderUnread, Span: l.Cells.Span(l.At(), end),
		Message: "“{words}” looks like the order in which to play the sections; they are played in the order they are written.",
		Hint:    "Write the name of a section in square brackets, such as [A], where it is to be played again.",
		Values:  diag.Values{diag.Text("words", l.Cells.Trimmed().Text())},
		Edits:   func(e *diag.Editor) { e.HeadLine("text:").Keep().Label = "The written order is right" },
	})
}

// ditto reports whether a line has ditto marks and nothing else.
func (l *Line) ditto() bool {
	for _, c := range l.Cells.Trimmed() {
		if c.R != '"' && c.R != '〃' && c.R != Blank {
			return false
		}
	}
	return !l.blank()
}

// rowFollows reports whether the next line plays, so that a line of words names it.
func (s *sections) rowFollows(i int) bool {
	return i+1 < len(s.Lines) && s.Lines[i+1].Kind == tree.TabLine
}

// repeatBlock has the rows just above played more often.
func (s *sections) repeatBlock(l *Line) {
	rows := s.block
	s.block = nil
	if len(rows) == 0 {
		return
	}
	times := l.timesAlone()
	if times < 1 || times > s.opt.Limits.Repeat {
		return
	}
	first, last := rows[0].Number, rows[len(rows)-1].Number
	s.plays(l, Again{From: first, To: last, Times: times - 1, Doubtful: len(rows) > manyRows})
}

// plays makes a line play others again.
func (s *sections) plays(l *Line, again Again) {
	l.Kind, l.Again, l.first = tree.SectionLine, again, nil
	end := l.At() + len(l.Cells.Trimmed())
	l.Items = []Item{{Kind: PlayAgain, From: l.At(), To: end, Span: l.Cells.Span(l.At(), end), Line: l.Number}}
}

// timesAlone is n where x2 is all there is on a line, in brackets or not; 0 for
// any other line.
func (l *Line) timesAlone() int {
	text := l.Cells.Trimmed()
	if n := len(text); n > 2 && (text[0].R == '(' && text[n-1].R == ')' || text[0].R == '[' && text[n-1].R == ']') {
		text = text[1 : n-1].Trimmed()
	}
	n, ok := text.Times()
	if !ok || l.forced() {
		return 0
	}
	return n
}

// request reads a line that names a section, such as “Chorus:”, or asks for one,
// such as “repeat chorus” or “(Chorus x2)”. times is how often; asks says that
// the line asks for it in so many words.
func request(text string) (name string, times int, asks bool) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) && r != '\'' && r != '-'
	})
	const mostWords = 8 // a longer line is a sentence
	if len(words) == 0 || len(words) > mostWords {
		return "", 0, false
	}
	times = 1
	if n, ok := timesWord(words[len(words)-1]); ok && len(words) > 1 {
		times, asks, words = n, true, words[:len(words)-1]
	}
	if len(words) > 1 && lexicon.Is(words[0], lexicon.Repeat) {
		asks, words = true, words[1:]
		if words[0] == "the" && len(words) > 1 {
			words = words[1:]
		}
	}
	return strings.Join(words, " "), times, asks
}

// timesWord reads x2 or 2x, up to nine times.
func timesWord(word string) (int, bool) {
	if len(word) != 2 {
		return 0, false
	}
	digit := word[0]
	if digit == 'x' {
		digit = word[1]
	} else if word[1] != 'x' {
		return 0, false
	}
	return int(digit - '0'), digit >= '1' && digit <= '9'
}

// nameOf is a section's name as request reads it.
func nameOf(text string) string {
	name, _, _ := request(text)
	return name
}

// asksAgain are words for playing something once more. Others of that meaning,
// such as “again”, are sung as often as they are meant. Common practice, no source.
var asksAgain = []string{
	"repeat", "repeats", "twice", "times", "thrice", "bis", "repite", "repiten", "veces", "repete", "vezes", "répétez", "fois",
	"ripeti", "ripetere", "volte", "wiederholen", "wiederholung", "zweimal", "dreimal", "herhaal", "tweemaal", "powtórz", "razy",
	"повторить", "повтор", "раза", "дважды", "重复", "反復", "繰り返し", "반복",
}

// checkRepeats warns of words that ask for something to be played again and are
// not obeyed.
func (p *reader) checkRepeats(at diag.Span) bool {
	for _, w := range strings.FieldsFunc(strings.ToLower(p.Text[at.Start:at.End]), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) }) {
		if !slices.Contains(asksAgain, w) {
			continue
		}
		p.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.RepeatUnread, Span: at,
			Message: "“{words}” seems to ask for something to be played again; it is played as it is written.",
			Hint:    "Write |: and :| x2 around it, x2 at the end of its row, or the name of the section in square brackets.",
			Values:  diag.Values{diag.Text("words", p.Text[at.Start:at.End])},
			Edits:   func(e *diag.Editor) { e.HeadLine("text:").Keep().Label = "It is right as it is written" },
		})
		return true
	}
	return false
}
