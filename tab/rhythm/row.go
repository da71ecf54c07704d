package rhythm

import (
	"html"
	"strings"
	"unicode"
	"unicode/utf8"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// row is a line of tab.
type row struct {
	line    int       // from 1
	span    diag.Span // without its line end
	atoms   []atom
	bars    []diag.Span        // bar lines and repeat signs
	repeats map[diag.Span]bool // those of bars that are repeat signs: no note is held over them
	strike  []diag.Span        // hold marks and braces, which are written anew
	pairs   map[int]diag.Span  // brackets: of each of the two, from its place, the whole pair
	count   *tab.Line          // the row's count row
}

// atom is a note or a rest with the grace notes in front of it.
type atom struct {
	span  diag.Span
	lead  int       // where its grace notes begin, else the start of span
	note  int       // in Page.Notes; -1 for a rest
	beats beat.Time // as the page stands
	waits bool      // after a silence
}

// read takes the rows of tab apart.
func (p *Page) read(all []written) (rows []*row) {
	note, grace := 0, -1
	for _, e := range all {
		if len(rows) == 0 || rows[len(rows)-1].line != e.Line {
			rows = append(rows, &row{line: e.Line, span: p.doc.Lines[e.Line-1].Span})
			grace = -1
		}
		r := rows[len(rows)-1]
		if e.Role == tab.Grace {
			if grace < 0 {
				grace = opening(p.text, r.span.Start, e.Span.Start)
			}
			continue
		}
		a := atom{span: e.Span, lead: e.Span.Start, note: -1, beats: e.Beats, waits: e.waits}
		if grace >= 0 {
			a.lead, grace = grace, -1
		}
		if e.Note != nil {
			a.note = note
			note++
		}
		r.atoms = append(r.atoms, a)
	}
	for _, r := range rows {
		r.lex(p.text)
		r.count = p.countRow(r.line)
	}
	return rows
}

// opening is where the bracket begins that a grace note is in.
func opening(text string, from, at int) int {
	if i := strings.LastIndexAny(text[from:at], "(["); i >= 0 {
		return from + i
	}
	return at
}

// countRow is the count row below a line, before the next line of tab.
func (p *Page) countRow(line int) *tab.Line {
	for i := line; i < len(p.doc.Lines); i++ {
		switch l := &p.doc.Lines[i]; l.Kind {
		case tab.TabLine:
			return nil
		case tab.CountLine:
			return l
		}
	}
	return nil
}

// lex finds what stands between the atoms.
func (r *row) lex(text string) {
	r.pairs, r.repeats = map[int]diag.Span{}, map[diag.Span]bool{}
	var open []int
	at := r.span.Start
	for i := 0; i <= len(r.atoms); i++ {
		end := r.span.End
		if i < len(r.atoms) {
			end = r.atoms[i].lead
		}
		open = r.between(text, at, end, i > 0, open)
		if i < len(r.atoms) {
			at = r.atoms[i].span.End
		}
	}
}

// holdMarks are all marks that hold a note, which notation.go of the reader knows
// too; slides end in >.
const holdMarks = "-‐‑‒–—―−._·…"

// between reads what lies between two atoms, at first right behind one or not.
func (r *row) between(text string, at, end int, glued bool, open []int) []int {
	for at < end {
		what, n := next(text[at:end], glued)
		span := diag.Span{Start: at, End: at + n}
		at += n
		glued = what != other || isBlank(text[span.Start:at])
		switch what {
		case brace, hold:
			r.strike = append(r.strike, span)
		case bar:
			r.bars = append(r.bars, span)
			r.repeats[span] = strings.ContainsAny(text[span.Start:at], ":：")
		case opens:
			open = append(open, span.Start)
		case closes:
			if len(open) > 0 {
				pair := diag.Span{Start: open[len(open)-1], End: at}
				r.pairs[pair.Start], r.pairs[span.Start] = pair, pair
				open = open[:len(open)-1]
			}
		}
	}
	return open
}

func isBlank(s string) bool {
	c, _ := sign(s)
	return unicode.IsSpace(c) || c == ','
}

// kind is what stands between two notes.
type kind int

const (
	other kind = iota
	brace
	hold
	bar
	opens  // a bracket around notes
	closes // the same
	remark
)

// next is what s begins with, and its length in bytes. A hold mark is one behind a
// note, a blank or another sign.
func next(s string, glued bool) (kind, int) {
	c, size := sign(s)
	switch {
	case c == '{' || c == '}':
		return brace, size
	case (c == '(' || c == '[') && isRemark(s):
		return remark, strings.IndexAny(s, ")]）］") + 1
	case c == '(' || c == '[':
		return opens, size
	case c == ')' || c == ']':
		return closes, size
	case c == '|' || strings.HasPrefix(s, ":|"):
		return bar, run(s, "|:")
	case strings.ContainsRune(holdMarks, c):
		n := run(s, holdMarks)
		if slide := arrow(s[:n], s[n:]); glued && slide < n {
			return hold, n - slide
		}
		return other, n
	}
	return other, size
}

// arrow is how many bytes of some hold marks belong to the slide behind them: those
// of the last two, and none where no slide follows.
func arrow(marks, behind string) int {
	if c, _ := sign(behind); c != '>' {
		return 0
	}
	var ends []int
	for n := 0; n < len(marks); {
		ends = append(ends, n)
		_, size := sign(marks[n:])
		n += size
	}
	return len(marks) - ends[max(len(ends)-2, 0)]
}

// sign is the character that s begins with, as it is read: also one written as an
// HTML entity, or wide.
func sign(s string) (c rune, size int) {
	if end := strings.IndexByte(s, ';'); strings.HasPrefix(s, "&") && end > 0 && end < 10 {
		if c, n := utf8.DecodeRuneInString(html.UnescapeString(s[:end+1])); c != '&' && n > 0 {
			return c, end + 1
		}
	}
	c, size = utf8.DecodeRuneInString(s)
	if c >= '！' && c <= '～' {
		c -= '！' - '!'
	}
	return c, size
}

// run is how many bytes s has of some signs at its start.
func run(s, signs string) (n int) {
	for n < len(s) {
		c, size := sign(s[n:])
		if !strings.ContainsRune(signs, c) {
			break
		}
		n += size
	}
	return n
}

// isRemark says that a bracket holds words.
func isRemark(s string) bool {
	c, size := sign(s)
	closing := map[rune]string{'(': ")）", '[': "]］"}[c]
	end := strings.IndexAny(s, closing)
	return end > 0 && strings.Trim(s[size:end], holdMarks+" \t{}|,>:") != ""
}

// barsIn counts the bar lines between two places.
func (r *row) barsIn(from, to int) (n int) {
	for _, b := range r.bars {
		if b.Start >= from && b.End <= to {
			n++
		}
	}
	return n
}
