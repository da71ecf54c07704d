package scan

import (
	"unicode"

	"reedlark/tab/lexicon"
)

// tokenKind is what a word looks like before the dialect of the page is known.
type tokenKind uint8

const (
	otherToken   tokenKind = iota // a word of letters, or of anything unknown
	holeToken                     // a number and what touches it
	breathToken                   // a breath word, or a B or D that stands alone
	methodToken                   // words for a bend or an over
	openToken                     // ( or [
	closeToken                    // ) or ]
	commaToken                    // ,
	tagToken                      // <u> or </u>
	neutralToken                  // hold marks, bar lines, rests, x2
)

// token is a word of a line, read without a dialect.
type token struct {
	kind        tokenKind
	weak        bool // a breath word too common to count: “in”
	over        bool // of a method
	bends       int  // of a method
	from, to    int  // its cells
	number, end int  // the cells of a hole's number
	breath      rune // B or D, of a breath word
}

// tokens reads the words of a line from a cell on, into the room of others.
func (l *Line) tokens(room []token, from int) []token { return l.Cells.tokens(room, from, l.marks) }

// tokens reads words from a cell on, into the room of others. What was
// recognised before is passed over.
func (c Cells) tokens(room []token, from int, marks map[int]mark) []token {
	room = room[:0]
	for i := from; i < len(c); {
		r := c[i].R
		m, known := marks[i]
		switch {
		case known && m.to > i:
			room = append(room, token{kind: neutralToken, from: i, to: min(m.to, len(c))})
		case r == Blank:
			i++
			continue
		case r == '(' || r == '[':
			room = append(room, token{kind: openToken, from: i, to: i + 1})
		case r == ')' || r == ']':
			room = append(room, token{kind: closeToken, from: i, to: i + 1})
		case r == ',' || r == '、':
			room = append(room, token{kind: commaToken, from: i, to: i + 1})
		case r == '{' || r == '}' || r == ':' || r == '|':
			room = append(room, token{kind: neutralToken, from: i, to: i + 1})
		case c.tagAt(i) > 0:
			room = append(room, token{kind: tagToken, from: i, to: c.tagAt(i)})
		default:
			room = c.chunkTokens(room, i)
		}
		i = room[len(room)-1].to
	}
	return room
}

// chunkTokens reads what begins at a cell and lies between delimiters.
func (c Cells) chunkTokens(room []token, i int) []token {
	end, hole, letter := i, -1, false
	for ; end < len(c) && !delimits(c, end) && (c[end].R != '<' || c.tagAt(end) == 0); end++ {
		if hole < 0 && isHole(c[end].R) {
			hole = end
		}
		letter = letter || unicode.IsLetter(c[end].R)
	}
	if end == i {
		end++
	}
	_, times := c[i:end].Times()
	switch {
	case hole >= 0 && !times:
		return c.holeTokens(room, i, hole, end)
	case letter && !times:
		return append(room, c.wordToken(i, end))
	}
	return append(room, token{kind: neutralToken, from: i, to: end})
}

// longestAffix is how many characters may touch a number on one side.
const longestAffix = 12

// holeTokens cuts a chunk that ends at end into its numbers and what touches
// each. What stands between two numbers belongs to the first where the chunk
// begins with a number, and to the second where it begins with a mark; marks of
// bends always follow their number.
func (c Cells) holeTokens(room []token, i, hole, end int) []token {
	kept := len(room)
	if at := c.lastSign(i, hole, end); at > i {
		room = append(room, token{kind: neutralToken, from: i, to: at})
		i = at
	}
	leads := hole > i
	for from := i; from < end; {
		t := token{kind: holeToken, from: from, number: hole, end: c.skipHole(hole)}
		next := t.end
		for next < end && !isHole(c[next].R) {
			next++
		}
		t.to = next
		if leads && next < end {
			for t.to = t.end; t.to < next && isMethodMark(c[t.to].R); {
				t.to++
			}
			for t.to < next && HoldValue(c[t.to].R) > 0 && (t.to+1 < next || c[t.to].R != '-') {
				t.to++
			}
		}
		if t.number-t.from > longestAffix || t.to-t.end > longestAffix {
			return append(room[:kept], token{kind: otherToken, from: i, to: end})
		}
		room = append(room, t)
		from, hole = t.to, next
	}
	return room
}

// lastSign is where a number begins that has hold marks before it: at its sign,
// if the last of them is one. A number between two marks that are alike has none.
func (c Cells) lastSign(i, hole, end int) int {
	for k := i; k < hole; k++ {
		rest := k == i && hole > i+1 && (c[k].R == 'r' || c[k].R == 'R')
		if HoldValue(c[k].R) == 0 && !rest {
			return i
		}
	}
	after := c.skipHole(hole)
	switch {
	case hole == i, after < end && after+1 == end && c[after].R == c[i].R && hole == i+1 && c[i].R != '-':
		return i
	case c[hole-1].R == '-':
		return hole - 1
	}
	return hole
}

// wordToken reads the word or the phrase that begins at a cell.
func (c Cells) wordToken(i, end int) token {
	if end-i == 1 && isLetter(c[i].R) {
		return token{kind: breathToken, from: i, to: end, breath: unicode.ToUpper(c[i].R)}
	}
	words, ends := c.words(i)
	senses, n := lexicon.Phrase(words)
	if n == 0 {
		return token{kind: otherToken, from: i, to: end}
	}
	t := token{from: i, to: ends[n-1]}
	switch m := methodOf(senses); {
	case breathOf(senses) != 0:
		t.kind, t.breath, t.weak = breathToken, breathOf(senses), senses[0].Weak
	case m.bends > 0 || m.over:
		return c.methodWords(t, m)
	}
	return t
}

// methodWords adds the words that go with a bend: “half step bend” is one.
func (c Cells) methodWords(t token, m method) token {
	t.kind, t.bends, t.over = methodToken, m.bends, m.over
	for !m.over {
		next := c.SkipBlanks(t.to)
		words, ends := c.words(next)
		senses, n := lexicon.Phrase(words)
		more := methodOf(senses)
		if n == 0 || more.bends == 0 || next == t.to {
			break
		}
		t.bends, t.to = max(t.bends, more.bends), ends[n-1]
	}
	return t
}

// mostWords is how many words a phrase may have.
const mostWords = 4

// words are the next words from a cell on, blanks between them, and where each
// ends.
func (c Cells) words(i int) (words []string, ends []int) {
	for len(words) < mostWords && i < len(c) {
		end := i
		for end < len(c) && (unicode.IsLetter(c[end].R) || unicode.IsMark(c[end].R) || end > i && (c[end].R == '-' || c[end].R == '\'')) {
			end++
		}
		if end == i {
			break
		}
		words, ends = append(words, c[i:end].Text()), append(ends, end)
		if end == len(c) || c[end].R != Blank {
			break
		}
		i = end + 1
	}
	return words, ends
}

// method is what words say about how a note is played.
type method struct {
	bends int
	over  bool
}

// methodOf finds a bend or an over among the senses of a phrase.
func methodOf(senses []lexicon.Sense) (m method) {
	for _, s := range senses {
		switch s.Meaning {
		case lexicon.Bend, lexicon.Half:
			m.bends = max(m.bends, 1)
		case lexicon.Whole:
			m.bends = 2
		case lexicon.Over:
			m.over = m.over || !s.Weak
		}
	}
	return m
}

// breathOf finds a breath among the senses of a phrase; 0 for none.
func breathOf(senses []lexicon.Sense) rune {
	for _, s := range senses {
		switch s.Meaning {
		case lexicon.Blow:
			return 'B'
		case lexicon.Draw:
			return 'D'
		}
	}
	return 0
}

// isHole reports whether a character is part of a hole's number.
func isHole(r rune) bool { return IsDigit(r) || circled(r) > 0 }

// circled is the number in a circle; 0 for anything else.
func circled(r rune) int {
	switch {
	case r >= '①' && r <= '⑩':
		return int(r-'①') + 1
	case r >= '❶' && r <= '❿':
		return int(r-'❶') + 1
	case r >= '⓵' && r <= '⓾':
		return int(r-'⓵') + 1
	}
	return 0
}

// skipHole is the cell after the number at i: digits, each perhaps with a line
// or a dot under it, or one number in a circle.
func (c Cells) skipHole(i int) int {
	if circled(c[i].R) > 0 {
		return i + 1
	}
	for i < len(c) && IsDigit(c[i].R) {
		i++
		if i+1 < len(c) && unicode.IsMark(c[i].R) && IsDigit(c[i+1].R) {
			i++
		}
	}
	return i
}

// isMethodMark reports whether a character marks a bend, an over or a shake in
// every dialect.
func isMethodMark(r rune) bool {
	switch r {
	case '/', '\'', '"', '‴', '*', '°', '~':
		return true
	}
	return false
}

// tagAt is the end of the HTML tag that begins at cell i, if it is one of those
// that underline or stress; 0 for anything else.
func (c Cells) tagAt(i int) int {
	if c[i].R != '<' {
		return 0
	}
	name := i + 1
	if name < len(c) && c[name].R == '/' {
		name++
	}
	end := name
	for end < len(c) && end-name < len("strong") && unicode.IsLetter(c[end].R) {
		end++
	}
	if end == len(c) || c[end].R != '>' {
		return 0
	}
	switch c[name:end].Text() {
	case "u", "U", "b", "B", "i", "I", "em", "strong", "s", "ins":
		return end + 1
	}
	return 0
}
