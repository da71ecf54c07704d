package scan

import "strings"

// Lexer cuts the cells of a line into items.
type Lexer struct {
	Cells   Cells
	Items   []Item
	line    int
	dialect dialect
	word    int32
	pairs   map[int]int // bracket to bracket, by cell
	group   int         // item of the outermost open bracket, -1 for none
	marks   map[int]mark
	wordy   map[int]bool // brackets that held words when the line was read before; nil the first time
}

// NewLexer is a lexer for a line whose words are read by somebody else, such as
// a row of chords.
func NewLexer(l *Line) *Lexer { return &Lexer{Cells: l.Cells, line: l.Number, group: -1} }

// lex reads the items of a line from a cell on, into the room of others. wordy
// are the brackets that held words when the line was read before, nil the first
// time: a page written in another convention must not have other remarks.
func lex(room []Item, wordy map[int]bool, l *Line, from int, d dialect) []Item {
	cells := l.Cells
	s := &Lexer{Cells: cells, line: l.Number, marks: l.marks, dialect: d, group: -1, pairs: pairBrackets(cells, from), Items: room[:0], wordy: wordy}
	for i := from; i < len(cells); {
		i = s.next(i)
	}
	return s.Items
}

// wordsIn are the brackets that hold words, by cell.
func wordsIn(items []Item) map[int]bool {
	out := map[int]bool{}
	for i := range items {
		if k := items[i].Kind; k == Name || k == Remark {
			out[items[i].From] = true
		}
	}
	return out
}

// next reads what begins at cell i and returns where it ends.
func (s *Lexer) next(i int) int {
	switch r := s.Cells[i].R; {
	case s.marks[i].to > i:
		return s.marked(i)
	case r == Blank:
		s.word++
		return i + 1
	case r == '(' || r == '[':
		return s.open(i)
	case r == ')' || r == ']':
		return s.close(i)
	case r == '{':
		return s.Add(OpenBrace, i, i+1)
	case r == '}':
		return s.Add(CloseBrace, i, i+1)
	case r == ',':
		return s.Add(Comma, i, i+1)
	case s.Cells.BarAt(i):
		return s.Bars(i)
	}
	return s.chunk(i)
}

// Add appends an item made of the cells from i to end, and returns end.
func (s *Lexer) Add(k Kind, i, end int) int {
	it := Item{Kind: k, From: i, To: end, Span: s.Cells.Span(i, end), Line: s.line, word: s.word}
	if n := len(s.Items); n > 0 {
		it.Adjacent = s.Items[n-1].To == i
	}
	s.Items = append(s.Items, it)
	return end
}

// Last is the item added last.
func (s *Lexer) Last() *Item { return &s.Items[len(s.Items)-1] }

// Bars reads a run of strokes and colons: | || |: ||: :| :|| and :||:.
func (s *Lexer) Bars(i int) int {
	end := i
	for end < len(s.Cells) && (s.Cells[end].R == '|' || s.Cells[end].R == ':') {
		end++
	}
	run := s.Cells[i:end].Text()
	inner := strings.TrimSuffix(strings.TrimPrefix(run, ":"), ":")
	if inner == "" || strings.Trim(inner, "|") != "" {
		return s.Add(Junk, i, end)
	}
	closes, opens := run[0] == ':', run[len(run)-1] == ':'
	switch {
	case closes && opens:
		s.Add(CloseRepeat, i, i+2)
		s.Add(OpenRepeat, i+2, end)
	case closes:
		s.Add(CloseRepeat, i, end)
	case opens:
		s.Add(OpenRepeat, i, end)
	default:
		s.Add(Bar, i, end)
		s.Last().N = min(len(inner), 2)
	}
	return end
}

// marked adds what was recognised at cell i and returns where it ends.
func (s *Lexer) marked(i int) int {
	m := s.marks[i]
	s.Add(m.kind, i, m.to)
	s.Last().N = m.n
	return m.to
}

// chunk reads what lies between blanks, brackets, braces, bar lines and
// commas. If any of it cannot be read, all of it is junk.
func (s *Lexer) chunk(i int) int {
	end := i + 1
	for end < len(s.Cells) && !delimits(s.Cells, end) && s.marks[end].to == 0 {
		end++
	}
	if n, ok := s.Cells[i:end].Times(); ok {
		s.Add(Times, i, end)
		s.Last().N = n
		return end
	}
	kept := len(s.Items)
	for at := i; at < end; {
		next := s.piece(at, end)
		if next == 0 {
			s.Items = s.Items[:kept]
			return s.Add(Junk, i, end)
		}
		at = next
	}
	return end
}

// delimits reports whether a chunk ends before cell i.
func delimits(cells Cells, i int) bool {
	return strings.ContainsRune(" ()[]{},", cells[i].R) || cells.BarAt(i)
}

// piece reads one item of a chunk that ends at end; 0 for none.
func (s *Lexer) piece(i, end int) int {
	switch r := s.Cells[i].R; {
	case HoldValue(r) > 0:
		return s.dashes(i, end)
	case isSlide(r):
		return s.Add(Slide, i, i+1)
	case r == 'r' || r == 'R':
		return s.rest(i, end)
	case r == '+':
		return s.note(i, i+1, end)
	}
	return s.note(i, i, end)
}

// rest reads an r. It may be held but may not touch a note.
func (s *Lexer) rest(i, end int) int {
	after := i+1 == end || HoldValue(s.Cells[i+1].R) > 0 || isSlide(s.Cells[i+1].R)
	if n := len(s.Items); n > 0 && s.Items[n-1].To == i && s.Items[n-1].Kind == Note {
		return 0
	}
	if !after {
		return 0
	}
	return s.Add(Rest, i, i+1)
}

// note reads a note whose sign is at cell i; it has none where i is number.
func (s *Lexer) note(i, number, end int) int {
	w, next, ok := lexNote(s.Cells, number, end, s.dialect)
	if !ok || number > i && w.Letter != 0 {
		return 0
	}
	if number > i {
		w.Sign = s.Cells[i].R
	}
	held := heldShake(s.Cells[i:next], w)
	w.Shakes -= int32(held)
	s.Add(Note, i, next-held)
	s.Last().Written = w
	if held > 0 {
		s.Add(Hold, next-held, next)
		s.Last().N = held
	}
	return next
}

// heldShake is how many beats longer a shake is held: one for every ~ after the
// first, where they are the last marks of the note.
func heldShake(note Cells, w Written) int {
	n := 0
	for n < len(note) && note[len(note)-1-n].R == '~' {
		n++
	}
	if n < 2 || int(w.Shakes) != n {
		return 0
	}
	return n - 1
}

// dashes reads a run of hold marks, and with it the slide or the draw sign
// that its last dashes may be.
func (s *Lexer) dashes(i, end int) int {
	stop := i
	for stop < end && HoldValue(s.Cells[stop].R) > 0 {
		stop++
	}
	if stop < end && s.Cells[stop].R == '>' && s.Cells[stop-1].R == '-' {
		head := slideHead(s.Cells, i, stop)
		s.hold(i, head)
		return s.Add(Slide, head, stop+1)
	}
	if stop < end && s.Cells[stop-1].R == '-' && s.drawSign(stop, end) {
		s.hold(i, stop-1)
		return s.note(stop-1, stop, end)
	}
	s.hold(i, stop)
	return stop
}

// drawSign reports whether a dash before cell i is a draw sign: it touches a digit
// of a note that carries neither letter nor arrow.
func (s *Lexer) drawSign(i, end int) bool {
	w, _, ok := lexNote(s.Cells, i, end, s.dialect)
	return ok && IsDigit(s.Cells[i].R) && w.Letter == 0
}

// hold adds the hold marks between two cells, if there are any.
func (s *Lexer) hold(i, end int) {
	if i == end {
		return
	}
	s.Add(Hold, i, end)
	for _, c := range s.Cells[i:end] {
		s.Last().N += HoldValue(c.R)
	}
}

// slideHead is where the slide that ends in > before stop begins: one or two
// dashes belong to it, the rest are holds.
func slideHead(cells Cells, i, stop int) int {
	head := stop - 1
	if head > i && cells[head-1].R == '-' {
		head--
	}
	return head
}

// HoldValue is how many beats a hold mark adds; 0 for what is none.
func HoldValue(r rune) int {
	switch r {
	case '-', '.', '·', '_':
		return 1
	case '…':
		return 3
	}
	return 0
}

func isSlide(r rune) bool { return r == '>' || r == '→' }
