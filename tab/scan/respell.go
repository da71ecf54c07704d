package scan

import (
	"strconv"
	"strings"

	"reedlark/tab/tree"
)

// A page in another dialect than signs, letters or arrows is respelled: its
// cells become those of a page in letters, B4 and D4, and each keeps the bytes
// it was typed as. Everything after that reads one language only.

// respeller rewrites the cells of one line.
type respeller struct {
	*answers
	cells  Cells
	tokens []token
	out    Cells
	used   int    // the breath word that went to the last hole
	force  rune   // the breath of the brackets or the row around
	each   []rune // the breath of each hole, from a row of signs
	did    bool   // something was rewritten
}

// respell is a line from a cell on in the language of letters; false where
// nothing on it is written otherwise.
func (a *answers) respell(cells Cells, from int, tokens []token) (Cells, bool) {
	r := &respeller{answers: a, cells: cells, tokens: tokens, used: -1}
	r.out = append(make(Cells, 0, len(cells)+len(cells)/4+4), cells[:from]...)
	r.items(0, len(tokens), from, len(cells))
	return r.out, r.did
}

// items rewrites the tokens from i to end, and copies all between them and the
// cells at both ends.
func (r *respeller) items(i, end, at, stop int) {
	for i < end {
		begin := r.tokens[i].from
		kept := len(r.out)
		r.copy(at, begin)
		next, to := r.item(i, begin)
		if next == 0 {
			r.out = r.out[:kept]
			next, to = i+1, r.tokens[i].to
			r.copy(at, to)
		} else {
			r.did = true
		}
		at, i = to, next
	}
	r.copy(at, stop)
}

func (r *respeller) copy(from, to int) { r.out = append(r.out, r.cells[from:to]...) }

// item rewrites what begins at token i, and says which token and which cell
// come next; 0 where it is to be copied.
func (r *respeller) item(i, begin int) (next, to int) {
	switch t := &r.tokens[i]; t.kind {
	case openToken:
		return r.group(i)
	case tagToken:
		if i+2 < len(r.tokens) && r.tokens[i+1].kind == holeToken && r.tokens[i+2].kind == tagToken {
			if next, _ = r.hole(i+1, begin); next == i+2 {
				r.reach(r.tokens[i+2].to)
				return i + 3, r.tokens[i+2].to
			}
		}
	case breathToken:
		if r.words && i+1 < len(r.tokens) && r.tokens[i+1].kind == holeToken {
			if w, before := beside(r.tokens, i+1, r.used); before && w == i {
				return r.hole(i+1, begin)
			}
		}
	case neutralToken:
		if r.apart && r.cells[t.from:t.to].Text() == "-" && i+1 < len(r.tokens) && r.tokens[i+1].kind == holeToken && r.tokens[i+1].from > t.to {
			r.force = 'D'
			next, to = r.hole(i+1, begin)
			r.force = 0
			return next, to
		}
	case holeToken:
		return r.hole(i, begin)
	}
	return 0, 0
}

// reach lets the last cell written cover what was typed up to a cell.
func (r *respeller) reach(to int) {
	if n := len(r.out); n > 0 && to > 0 {
		r.out[n-1].end = r.cells[to-1].end
	}
}

// group rewrites brackets that mean a breath.
func (r *respeller) group(i int) (next, to int) {
	if r.bracketed == tree.BracketedTogether {
		return r.chord(i)
	}
	if k := chordEnd(r.cells, r.tokens, i); k > 0 && lettered(r.tokens, k) {
		return r.letteredChord(i, k)
	}
	letter := r.bracketLetter(r.cells[r.tokens[i].from].R)
	k := i + 1
	for k < len(r.tokens) && (r.tokens[k].kind == holeToken || r.tokens[k].kind == neutralToken || r.tokens[k].kind == commaToken) {
		k++
	}
	if letter == 0 || k == i+1 || k == len(r.tokens) || r.tokens[k].kind != closeToken {
		return 0, 0
	}
	start := len(r.out)
	around := r.force
	r.force = letter
	r.items(i+1, k, r.tokens[i+1].from, r.tokens[k-1].to)
	r.force = around
	r.out[start].at = r.cells[r.tokens[i].from].at
	r.reach(r.tokens[k].to)
	return k + 1, r.tokens[k].to
}

// hole rewrites the hole at token i with all that belongs to it, from the cell
// begin on.
func (r *respeller) hole(i, begin int) (next, to int) {
	t := &r.tokens[i]
	n, ok := r.read(i)
	if !ok {
		return 0, 0
	}
	next, to = i+1, t.to
	said := n
	if n.held == t.to {
		next, to = r.behind(i, &n)
	}
	if !r.full {
		if next == i+1 && n.plain(r.cells, t) {
			return 0, 0
		}
		r.keep(t, said, n, begin)
		r.reach(to)
		return next, to
	}
	if len(r.each) > 0 {
		r.force, r.each = r.each[0], r.each[1:]
	}
	n = r.given(n)
	r.write(t, n, begin)
	if next > i+1 {
		r.reach(to)
	}
	if n.held < t.to {
		r.holds(n.held, t.to)
	}
	return next, to
}

// given is a hole with the breath of what is around it, where it says none.
func (r *respeller) given(n spelled) spelled {
	if n.letter == 0 {
		n.letter = r.force
	}
	if n.letter == 0 {
		if m, ok := r.find(affix{}); ok {
			n.letter = m.says.letter()
		}
	}
	return n
}

// read reads what touches the number of a hole.
func (r *respeller) read(i int) (spelled, bool) {
	t := &r.tokens[i]
	n := spelled{held: t.to}
	if m, ok := r.find(r.cells.affixOf(r.tokens, i)); ok && m.says.letter() != 0 && (m.before != "" && m.after != "" || m.affix == inCircle || t.end-t.number > 1) {
		n.letter = m.says.letter()
		return n, r.marksOn(&n, r.cells[t.end:t.to].without(m.after), t.to)
	}
	if before := r.cells[t.from:t.number].Text(); before != "" {
		s, ok := r.meaning(affix{before: before})
		if !ok || s.says.letter() == 0 {
			return n, false
		}
		n.letter = s.says.letter()
	}
	return n, r.marksOn(&n, r.cells[t.end:t.to], t.to)
}

// without is the cells after a mark they begin with.
func (c Cells) without(text string) Cells {
	if text != "" && strings.HasPrefix(c.Text(), text) {
		return c[len([]rune(text)):]
	}
	return c
}

// meaning is what an affix stands for on this page, else everywhere.
func (r *respeller) meaning(x affix) (sign, bool) {
	if m, ok := r.find(x); ok {
		return m, true
	}
	if s := x.usual(); s != saysNothing && !x.bare() {
		return sign{affix: x, says: s, bends: 1}, true
	}
	return sign{}, false
}

// marksOn reads the marks behind a number, up to a cell.
func (r *respeller) marksOn(n *spelled, rest Cells, end int) bool {
	for len(rest) > 0 {
		m, size := r.longest(rest)
		switch {
		case n.letter != 0 && HoldValue(rest[0].R) > 0:
			n.held = end - len(rest)
			return true
		case size == 0:
			return r.methodOn(n, rest, end)
		case m.says == saysHold:
			n.held = end - len(rest)
			return true
		case m.says == saysBend:
			n.bends += max(m.bends, 1)
		case m.says == saysOver:
			n.overs++
		case n.letter != 0 && n.letter != m.says.letter():
			return false
		default:
			n.letter = m.says.letter()
		}
		rest = rest[size:]
	}
	return true
}

// methodOn reads a mark of a bend or a shake that is the same in all dialects.
func (r *respeller) methodOn(n *spelled, rest Cells, end int) bool {
	switch x := rest[0].R; {
	case x == '"':
		n.bends += 2
	case x == '‴':
		n.bends += 3
	case x == '~':
		n.shakes++
	case HoldValue(x) > 0:
		n.held = end - len(rest)
		return true
	default:
		return false
	}
	return r.marksOn(n, rest[1:], end)
}

// longest is the longest mark that some cells begin with.
func (r *respeller) longest(rest Cells) (sign, int) {
	for size := min(len(rest), longestAffix); size > 0; size-- {
		if m, ok := r.meaning(affix{after: rest[:size].Text()}); ok && m.says != saysTogether && m.says != saysOptional {
			return m, size
		}
	}
	return sign{}, 0
}

// behind adds the words that belong to the hole at i: in brackets, or beside it.
func (r *respeller) behind(i int, n *spelled) (next, to int) {
	t := r.tokens
	if w, before := beside(t, i, r.used); r.words && w >= 0 && n.letter == 0 {
		n.letter, r.used = t[w].breath, w
		if before {
			return i + 1, t[i].to
		}
		if w+1 < len(t) && t[w-1].kind == openToken && t[w+1].kind == closeToken {
			return w + 2, t[w+1].to
		}
		return w + 1, t[w].to
	}
	if i+3 < len(t) && t[i+1].kind == openToken && t[i+3].kind == closeToken && r.inside(&t[i+2], n) {
		return i + 4, t[i+3].to
	}
	if i+1 < len(t) && t[i+1].kind == methodToken {
		r.inside(&t[i+1], n)
		return i + 2, t[i+1].to
	}
	return i + 1, t[i].to
}

// inside adds a word that belongs to a hole; false where it does not.
func (r *respeller) inside(w *token, n *spelled) bool {
	text := r.cells[w.from:w.to].Text()
	switch {
	case w.kind == methodToken && w.over:
		n.overs++
	case w.kind == methodToken:
		n.bends += w.bends
	case text == "b" && (n.letter != 0 || r.bendB):
		n.bends++
	case text == "bb":
		n.bends += 2
	case w.kind == breathToken && !w.weak && n.letter == 0:
		n.letter = w.breath
	case w.kind == otherToken || w.kind == neutralToken:
		m, ok := r.meaning(affix{after: text})
		if !ok || m.says.letter() == 0 || n.letter != 0 {
			return false
		}
		n.letter = m.says.letter()
	default:
		return false
	}
	return true
}

// spelled is a hole as read in the dialect of the page.
type spelled struct {
	letter               rune // B or D; 0 where nothing says
	bends, overs, shakes int
	held                 int // the cell its hold marks begin at
}

// plain reports whether a hole is read alike without a dialect.
func (n spelled) plain(c Cells, t *token) bool {
	return circled(c[t.number].R) == 0 && t.end-t.number <= 2
}

// write spells a hole with its letter before it.
func (r *respeller) write(t *token, n spelled, begin int) {
	at, number := r.cells[begin].at, r.cells[t.number:t.end]
	if n.letter != 0 {
		r.out = append(r.out, Cell{n.letter, at, number[0].at})
	}
	first := len(r.out)
	for _, c := range number {
		if digits := circled(c.R); digits > 0 {
			for _, d := range strconv.Itoa(digits) {
				r.out = append(r.out, Cell{d, c.at, c.end})
			}
		} else if IsDigit(c.R) {
			r.out = append(r.out, c)
		}
	}
	r.out[first].at = at
	if n.letter != 0 {
		r.out[first-1].end = at
	}
	r.reach(n.held)
	last := r.out[len(r.out)-1]
	for _, m := range []struct {
		sign  rune
		times int
	}{{'/', n.bends}, {'*', n.overs}, {'~', n.shakes}} {
		for range m.times {
			r.out = append(r.out, Cell{m.sign, last.end, last.end})
		}
	}
}

// keep writes a hole as typed, with what the words behind it said.
func (r *respeller) keep(t *token, said, n spelled, begin int) {
	first := len(r.out)
	r.copy(t.from, t.to)
	r.out[first].at = r.cells[begin].at
	end := r.out[len(r.out)-1].end
	if said.letter == 0 && n.letter != 0 {
		r.out = append(r.out, Cell{n.letter, end, end})
	}
	for range n.bends - said.bends {
		r.out = append(r.out, Cell{'/', end, end})
	}
	for range n.overs - said.overs {
		r.out = append(r.out, Cell{'*', end, end})
	}
}

// holds copies hold marks, whatever the page writes for them.
func (r *respeller) holds(from, to int) {
	for _, c := range r.cells[from:to] {
		if HoldValue(c.R) == 0 {
			c.R = '-'
		}
		r.out = append(r.out, c)
	}
}
