package tab

import "strings"

// scanner cuts the cells of a line into items.
type scanner struct {
	cells   []cell
	line    int
	dialect dialect
	items   []item
	word    int32
	pairs   map[int]int  // bracket to bracket, by cell
	group   int          // item of the outermost open bracket, -1 for none
	said    map[int]bool // brackets that held words when the line was read before; nil the first time
}

// scan reads the items of a line from a cell on, into the room of others. said are the
// brackets that held words when the line was read before, nil the first time: a page
// that is written in another convention must not have other remarks.
func scan(room []item, said map[int]bool, cells []cell, from, line int, d dialect) []item {
	s := &scanner{cells: cells, line: line, dialect: d, group: -1, pairs: pairBrackets(cells, from), items: room[:0], said: said}
	for i := from; i < len(cells); {
		i = s.next(i)
	}
	return s.items
}

// wordsIn are the brackets that hold words, by cell.
func wordsIn(items []item) map[int]bool {
	out := map[int]bool{}
	for i := range items {
		if k := items[i].kind; k == nameItem || k == remarkItem {
			out[items[i].from] = true
		}
	}
	return out
}

// next reads what begins at cell i and returns where it ends.
func (s *scanner) next(i int) int {
	switch r := s.cells[i].r; {
	case r == blankRune:
		s.word++
		return i + 1
	case r == '(' || r == '[':
		return s.open(i)
	case r == ')' || r == ']':
		return s.close(i)
	case r == '{':
		return s.add(openBrace, i, i+1)
	case r == '}':
		return s.add(closeBrace, i, i+1)
	case r == ',':
		return s.add(breathItem, i, i+1)
	case barStarts(s.cells, i):
		return s.bars(i)
	}
	return s.chunk(i)
}

// add appends an item made of the cells from i to end, and returns end.
func (s *scanner) add(k kind, i, end int) int {
	it := item{kind: k, from: i, to: end, span: spanOf(s.cells, i, end), line: s.line, word: s.word, match: -1, role: Melody}
	if n := len(s.items); n > 0 {
		it.glued = s.items[n-1].to == i
	}
	s.items = append(s.items, it)
	return end
}

// last is the item added last.
func (s *scanner) last() *item { return &s.items[len(s.items)-1] }

// barStarts says that bar lines or repeat signs begin at cell i.
func barStarts(cells []cell, i int) bool {
	r := cells[i].r
	return r == '|' || r == ':' && i+1 < len(cells) && cells[i+1].r == '|'
}

// bars reads a run of strokes and colons: | || |: ||: :| :|| and :||:.
func (s *scanner) bars(i int) int {
	end := i
	for end < len(s.cells) && (s.cells[end].r == '|' || s.cells[end].r == ':') {
		end++
	}
	run := words(s.cells[i:end])
	inner := strings.TrimSuffix(strings.TrimPrefix(run, ":"), ":")
	if inner == "" || strings.Trim(inner, "|") != "" {
		return s.add(junkItem, i, end)
	}
	closes, opens := run[0] == ':', run[len(run)-1] == ':'
	switch {
	case closes && opens:
		s.add(closeRepeat, i, i+2)
		s.add(openRepeat, i+2, end)
	case closes:
		s.add(closeRepeat, i, end)
	case opens:
		s.add(openRepeat, i, end)
	default:
		s.add(barItem, i, end)
		s.last().n = min(len(inner), 2)
	}
	return end
}

// chunk reads what stands between blanks, brackets, braces, bar lines and
// commas. If any of it cannot be read, all of it is junk.
func (s *scanner) chunk(i int) int {
	end := i + 1
	for end < len(s.cells) && !delimits(s.cells, end) {
		end++
	}
	if n, ok := readTimes(s.cells[i:end]); ok {
		s.add(timesItem, i, end)
		s.last().n = n
		return end
	}
	kept := len(s.items)
	for at := i; at < end; {
		next := s.piece(at, end)
		if next == 0 {
			s.items = s.items[:kept]
			return s.add(junkItem, i, end)
		}
		at = next
	}
	return end
}

// delimits says that a chunk ends before cell i.
func delimits(cells []cell, i int) bool {
	return strings.ContainsRune(" ()[]{},", cells[i].r) || barStarts(cells, i)
}

// piece reads one item of a chunk that ends at end; 0 for none.
func (s *scanner) piece(i, end int) int {
	switch r := s.cells[i].r; {
	case holdValue(r) > 0:
		return s.dashes(i, end)
	case isSlide(r):
		return s.add(slideItem, i, i+1)
	case r == 'r' || r == 'R':
		return s.rest(i, end)
	case r == '+':
		return s.note(i, i+1, end)
	}
	return s.note(i, i, end)
}

// rest reads an r, which may be held but stands beside no note.
func (s *scanner) rest(i, end int) int {
	after := i+1 == end || holdValue(s.cells[i+1].r) > 0 || isSlide(s.cells[i+1].r)
	if n := len(s.items); n > 0 && s.items[n-1].to == i && s.items[n-1].kind == noteItem {
		return 0
	}
	if !after {
		return 0
	}
	return s.add(restItem, i, i+1)
}

// note reads a note whose sign stands at i (none where i is number).
func (s *scanner) note(i, number, end int) int {
	w, next, ok := scanNote(s.cells, number, end, s.dialect)
	if !ok || number > i && w.letter != 0 {
		return 0
	}
	if number > i {
		w.sign = s.cells[i].r
	}
	s.add(noteItem, i, next)
	s.last().written = w
	return next
}

// dashes reads a run of hold marks, and with it the slide or the draw sign
// that its last dashes may be.
func (s *scanner) dashes(i, end int) int {
	stop := i
	for stop < end && holdValue(s.cells[stop].r) > 0 {
		stop++
	}
	if stop < end && s.cells[stop].r == '>' && s.cells[stop-1].r == '-' {
		head := slideHead(s.cells, i, stop)
		s.hold(i, head)
		return s.add(slideItem, head, stop+1)
	}
	if stop < end && s.cells[stop-1].r == '-' && s.drawSign(stop, end) {
		s.hold(i, stop-1)
		return s.note(stop-1, stop, end)
	}
	s.hold(i, stop)
	return stop
}

// drawSign says that a dash before cell i is a draw sign: it touches a digit
// of a note that carries neither letter nor arrow.
func (s *scanner) drawSign(i, end int) bool {
	w, _, ok := scanNote(s.cells, i, end, s.dialect)
	return ok && isDigit(s.cells[i].r) && w.letter == 0
}

// hold adds the hold marks between two cells, if there are any.
func (s *scanner) hold(i, end int) {
	if i == end {
		return
	}
	s.add(holdItem, i, end)
	for _, c := range s.cells[i:end] {
		s.last().n += holdValue(c.r)
	}
}

// slideHead is where the slide that ends in > before stop begins: one or two
// dashes belong to it, the rest are holds.
func slideHead(cells []cell, i, stop int) int {
	head := stop - 1
	if head > i && cells[head-1].r == '-' {
		head--
	}
	return head
}

// holdValue is how many beats a hold mark adds; 0 for what is none.
func holdValue(r rune) int {
	switch r {
	case '-', '.', '·', '_':
		return 1
	case '…':
		return 3
	}
	return 0
}

func isSlide(r rune) bool { return r == '>' || r == '→' }
