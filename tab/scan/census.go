package scan

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"reedlark/tab/tree"
)

// usage counts how a page writes its holes, before its dialect is known. Only
// lines count that have more holes than other words.
type usage struct {
	holes    int           // in all
	affixes  map[affix]int // what touches them, marks of bends and holds left out
	order    []affix       // the same, in the order of the page
	breathed int           // holes with a breath word beside them
	brackets map[affix]int // holes in brackets of their own, no letters touching
	opens    int           // opening brackets
	methods  int           // words for a bend or an over behind a hole
	behind   int           // letters or words in brackets behind a hole
	first    map[affix]int // the line each was first on
}

// mostAffixes bounds how many are counted, so that a page of noise costs no more.
const mostAffixes = 256

// countUsage counts the lines of the page.
func (p *reader) countUsage() *usage {
	u := &usage{affixes: map[affix]int{}, first: map[affix]int{}, brackets: map[affix]int{}}
	var room []token
	for _, l := range p.Lines {
		if l.Kind == tree.CommentLine || l.Kind == tree.HeaderLine || l.Kind == tree.ChordsLine || l.Kind == tree.CountLine || l.key == "text" || l.legend {
			continue
		}
		if !l.Cells.numbered(l.Body) {
			continue
		}
		room = l.tokens(room, l.Body)
		if holesLead(room) || l.Kind == tree.TabLine {
			u.count(l, room)
		}
	}
	return u
}

// numbered reports whether there is any number from a cell on.
func (c Cells) numbered(from int) bool {
	for i := from; i < len(c); i++ {
		if isHole(c[i].R) {
			return true
		}
	}
	return false
}

// holesLead reports whether a line has more holes than words that are none.
func holesLead(tokens []token) bool {
	holes, others := 0, 0
	for i := range tokens {
		switch tokens[i].kind {
		case holeToken:
			holes++
		case otherToken:
			others++
		}
	}
	return holes > others
}

// count adds the holes of a line.
func (u *usage) count(l *Line, tokens []token) {
	used := -1 // the breath word that went to the last hole
	for i := range tokens {
		t := &tokens[i]
		if t.kind == openToken {
			u.opens++
			if k := chordEnd(l.Cells, tokens, i); k > 0 && lettered(tokens, k) {
				u.behind++
			}
		}
		if t.kind != holeToken {
			continue
		}
		u.holes++
		x := l.Cells.affixOf(tokens, i)
		if x.ordinary() && x.after != "" && x.before != x.after { // -3B has two marks
			u.see(affix{before: x.before}, l.Number)
			x.before = ""
		}
		u.see(x, l.Number)
		for _, c := range l.Cells[t.end:t.to] {
			if isMethodMark(c.R) {
				u.see(affix{after: string(c.R)}, l.Number)
			}
		}
		switch w, _ := beside(tokens, i, used); {
		case w >= 0:
			used = w
			u.breathed++
		}
		switch behindHole(tokens, i) {
		case breathToken:
			u.behind++
		case methodToken:
			u.methods++
		}
	}
	u.countBracketed(l.Cells, tokens)
}

// see counts an affix.
func (u *usage) see(x affix, line int) {
	n, known := u.affixes[x]
	if !known && len(u.affixes) == mostAffixes {
		return
	}
	if !known {
		u.order = append(u.order, x)
		u.first[x] = line
	}
	u.affixes[x] = n + 1
}

// affixOf is what touches the number of token i, marks of bends and holds left
// out.
func (c Cells) affixOf(tokens []token, i int) affix {
	t := &tokens[i]
	switch {
	case circled(c[t.number].R) > 0 && t.number == t.from:
		return inCircle
	case t.end-t.number > 1 && unicode.IsMark(c[t.number+1].R):
		return affix{after: string(c[t.number+1].R)}
	case i > 0 && i+1 < len(tokens) && tokens[i-1].kind == tagToken && tokens[i+1].kind == tagToken && tokens[i+1].from == t.to:
		return affix{c[tokens[i-1].from:tokens[i-1].to].Text(), c[tokens[i+1].from:tokens[i+1].to].Text()}
	}
	before, after := c[t.from:t.number].Text(), stem(c[t.end:t.to])
	switch first, _ := utf8.DecodeRuneInString(after); {
	case before == after:
		return affix{before, after}
	case before != "" && (HoldValue(first) > 0 || after == "b" || after == "bb" || after == "o"):
		after = ""
	case (affix{after: string(first)}).breath() && strings.Trim(after[utf8.RuneLen(first):], "bo") == "":
		after = string(first)
	}
	return affix{before, after}
}

// breath reports whether an affix stands for a breath where nobody says otherwise.
func (x affix) breath() bool {
	s := x.usual()
	return !x.bare() && (s == saysBlow || s == saysDraw)
}

// stem is what follows a number without the marks of bends around it and the
// hold marks behind.
func stem(c Cells) string {
	for len(c) > 0 && isMethodMark(c[0].R) {
		c = c[1:]
	}
	end := 0
	for end < len(c) && !isMethodMark(c[end].R) {
		if end > 0 && HoldValue(c[end].R) > 0 {
			break
		}
		end++
	}
	return c[:end].Text()
}

// beside finds the breath word that goes with the hole at i: directly before it
// or behind it, with at most a bracket between, and not that of another hole.
func beside(tokens []token, i, used int) (word int, before bool) {
	if i > 0 && i-1 != used && tokens[i-1].kind == breathToken && !tokens[i-1].weak {
		return i - 1, true
	}
	k := i + 1
	if k < len(tokens) && (tokens[k].kind == openToken || tokens[k].kind == commaToken && tokens[k].from == tokens[i].to && k+1 < len(tokens) && tokens[k+1].from == tokens[k].to) {
		k++
	}
	if k < len(tokens) && tokens[k].kind == breathToken && !tokens[k].weak {
		return k, false
	}
	return -1, false
}

// behindHole is the kind of word in brackets behind the hole at i.
func behindHole(tokens []token, i int) tokenKind {
	if i+3 < len(tokens) && tokens[i+1].kind == openToken && tokens[i+3].kind == closeToken {
		return tokens[i+2].kind
	}
	if i+1 < len(tokens) && tokens[i+1].kind == methodToken {
		return methodToken
	}
	return otherToken
}

// countBracketed counts the bare holes of a line that are alone in brackets or
// with other bare holes there, where no letter or number touches the brackets.
func (u *usage) countBracketed(c Cells, tokens []token) {
	for i := 0; i < len(tokens); i++ {
		if tokens[i].kind != openToken {
			continue
		}
		k := i + 1
		for k < len(tokens) && tokens[k].kind == holeToken && tokens[k].from == tokens[k].number && tokens[k].to == tokens[k].end {
			k++
		}
		if k == i+1 || k == len(tokens) || tokens[k].kind != closeToken {
			continue
		}
		if !touched(c, tokens[i].from-1) && !touched(c, tokens[k].to) {
			u.brackets[pairOf(c[tokens[i].from].R)] += k - i - 1
		}
		i = k
	}
}

// pairOf is the affix of a pair of brackets.
func pairOf(opener rune) affix {
	if opener == '[' {
		return inSquare
	}
	return inRound
}

// touched reports whether a cell is part of a word or a number.
func touched(c Cells, i int) bool {
	return i >= 0 && i < len(c) && (unicode.IsLetter(c[i].R) || IsDigit(c[i].R))
}
