package tab

import (
	"fmt"
	"strconv"
	"strings"

	"reedlark/tab/diag"
)

// census counts what the notes of a page are written in.
type census struct {
	signs, letters, arrows int
	alone                  int   // letters on lines of nothing but letters
	decided                bool  // a draw sign or an arrow is on some line
	neutral                *item // the first lone lower-case b
}

// settleConvention finds the convention of the page, or takes the caller's.
func (p *page) settleConvention() {
	c := p.census()
	p.Convention = c.winner()
	if p.opt.Convention != "" && p.opt.Convention != Auto {
		p.Convention = p.opt.Convention
	} else if p.Convention == Letters && c.neutral != nil && c.letters+c.alone == 0 {
		p.add(diag.Warning, diag.LowerCaseB, c.neutral.span, "Write B4 for blow, 3/ for a bend.", "The b after a number is read as blow, as nothing else on the page tells blow from draw.")
	}
	p.dialect = dialect{
		convention:    p.Convention,
		lettersBefore: p.breathBefore(isLetter),
		arrowsBefore:  p.breathBefore(isArrow),
	}
}

func (p *page) census() census {
	var c census
	for _, s := range p.sheets {
		if s.kind != TabLine {
			continue
		}
		alone := lettersAlone(s.items)
		for i := range s.items {
			if it := &s.items[i]; it.kind == noteItem {
				c.count(it, alone)
			}
		}
	}
	return c
}

// count adds the vote of one note.
func (c *census) count(it *item, alone bool) {
	w := it.written
	switch {
	case isArrow(w.letter):
		c.arrows++
		c.decided = true
	case w.letter != 0 && alone:
		c.alone++
	case w.letter != 0:
		c.letters++
	case w.sign != 0 || w.doubled:
		c.signs++
		c.decided = c.decided || w.sign == '-'
	case w.neutral && c.neutral == nil:
		c.neutral = it
	}
}

// winner is the convention with most votes; a tie is signs.
func (c census) winner() Convention {
	letters := c.letters
	if !c.decided {
		letters += c.alone
	}
	switch {
	case letters > c.signs && letters > c.arrows:
		return Letters
	case c.arrows > c.signs && c.arrows > letters:
		return Arrows
	case letters+c.signs+c.arrows == 0 && c.neutral != nil:
		return Letters
	}
	return Signs
}

// lettersAlone says that every note of a line carries a letter.
func lettersAlone(items []item) bool {
	lettered := false
	for _, it := range items {
		if it.kind != noteItem {
			continue
		}
		if !isLetter(it.written.letter) && !(it.written.neutral && it.written.sign == 0) {
			return false
		}
		lettered = lettered || isLetter(it.written.letter)
	}
	return lettered
}

// breathBefore says that the letters or arrows of the page stand before their
// numbers: the first unglued note that has one decides.
func (p *page) breathBefore(ours func(rune) bool) bool {
	var first *written
	for _, s := range p.sheets {
		for i := range s.items {
			it := &s.items[i]
			if s.kind != TabLine || it.kind != noteItem || !ours(it.written.letter) {
				continue
			}
			if unglued(s.items, i) {
				return it.written.before
			}
			if first == nil {
				first = &it.written
			}
		}
	}
	return first != nil && first.before
}

// unglued says that item i touches no other note.
func unglued(items []item, i int) bool {
	touches := func(k int) bool { return items[k].kind == noteItem || items[k].kind == holdItem }
	before := items[i].glued && i > 0 && touches(i-1)
	after := i+1 < len(items) && items[i+1].glued && items[i+1].kind == noteItem
	return !before && !after
}

// foreign says a line is in letters alone, which in a page of signs or arrows
// are words.
func (s *sheet) foreign() bool {
	return s.kind == TextLine && s.votes.others == 0 && lettersAlone(s.items)
}

// demote makes text of the lines of letters alone in a page of signs or arrows.
func (p *page) demote() {
	for _, s := range p.sheets {
		if p.Convention != Letters && s.kind == TabLine && !s.forced() && lettersAlone(s.items) {
			s.kind = TextLine
		}
	}
}

// aboutMixed gives the one warning about notes in another convention.
func (p *page) aboutMixed() {
	var lines []string
	var first diag.Span
	for _, s := range p.sheets {
		at, found := p.stranger(s)
		if !found {
			continue
		}
		if len(lines) == 0 {
			first = at
		}
		lines = append(lines, strconv.Itoa(s.number))
	}
	if len(lines) == 0 {
		return
	}
	p.add(diag.Warning, diag.MixedConventions, first, "Write the whole page one way, or write tab: before a line that is to be played as it stands.",
		fmt.Sprintf("This page tells blow from draw by %s, but not on %s.", p.Convention, lineList(lines)))
}

// stranger finds the first note of a line that is in another convention.
func (p *page) stranger(s *sheet) (diag.Span, bool) {
	for _, it := range s.items {
		if it.kind == noteItem && (s.kind == TabLine && p.strange(it.written) || s.foreign() && p.Convention != Letters) {
			return it.span, true
		}
	}
	return diag.Span{}, false
}

// strange says a note is written in another convention than the page.
func (p *page) strange(w written) bool {
	switch p.Convention {
	case Letters:
		return w.sign != 0 || w.doubled || isArrow(w.letter)
	case Arrows:
		return w.sign != 0 || isLetter(w.letter)
	}
	return w.letter != 0
}

// lineList names lines in words.
func lineList(lines []string) string {
	const most = 20
	if len(lines) == 1 {
		return "line " + lines[0]
	}
	if len(lines) > most {
		return fmt.Sprintf("lines %s and %d more", strings.Join(lines[:most], ", "), len(lines)-most)
	}
	last := len(lines) - 1
	return "lines " + strings.Join(lines[:last], ", ") + " and " + lines[last]
}

// aboutBare warns of bare numbers where the page tells breath by letters or
// arrows.
func (p *page) aboutBare(r *row) {
	if p.Convention == Signs {
		return
	}
	for _, it := range r.items {
		if it.kind == noteItem && it.written.sign == 0 && it.written.letter == 0 {
			p.add(diag.Warning, diag.BareNumber, it.span, "Say which breath, as the other notes do.",
				fmt.Sprintf("%s does not say blow or draw, and is blown.", shorten(p.text[it.span.Start:it.span.End])))
		}
	}
}
