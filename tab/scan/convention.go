package scan

import (
	"fmt"
	"strconv"
	"strings"

	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// census counts what the notes of a page are written in.
type census struct {
	signs, letters, arrows int
	alone                  int   // letters on lines of nothing but letters
	decided                bool  // a draw sign or an arrow is on some line
	neutral                *Item // the first lone lower-case b
}

// settleConvention finds the convention of the page, or takes the caller's.
func (p *reader) settleConvention() {
	c := p.census()
	p.Convention = c.winner()
	switch forced := p.opt.Convention; {
	case p.answers != nil && p.answers.full:
		p.Convention = tree.Letters
		p.dialect = dialect{convention: tree.Letters, lettersBefore: true}
		p.describe(c)
		return
	case forced == tree.Signs || forced == tree.Letters || forced == tree.Arrows:
		p.Convention = forced
	}
	if p.free() && p.Convention == tree.Letters && c.neutral != nil && c.letters+c.alone == 0 {
		p.Add(diag.Warning, diag.LowerCaseB, c.neutral.Span, "Write B4 for blow, 3/ for a bend.", "The b after a number is read as blow, as nothing else on the page tells blow from draw.")
	}
	p.dialect = dialect{
		convention:    p.Convention,
		lettersBefore: p.breathBefore(isLetter),
		arrowsBefore:  p.breathBefore(isArrow),
	}
	if p.Convention != tree.Signs && p.answers != nil {
		_, settled := p.answers.find(affix{})
		p.bareBlown = settled || p.bareIsBlow()
		if p.bareBlown && !settled {
			p.askBare()
		}
	}
	p.describe(c)
}

func (p *reader) census() census {
	var c census
	for _, l := range p.Lines {
		if l.Kind != tree.TabLine {
			continue
		}
		alone := lettersAlone(l.first)
		for i := range l.first {
			if it := &l.first[i]; it.Kind == Note {
				c.count(it, alone)
			}
		}
	}
	return c
}

// count adds the vote of one note.
func (c *census) count(it *Item, alone bool) {
	w := it.Written
	switch {
	case isArrow(w.Letter):
		c.arrows++
		c.decided = true
	case w.Letter != 0 && alone:
		c.alone++
	case w.Letter != 0:
		c.letters++
	case w.Sign != 0 || w.doubled:
		c.signs++
		c.decided = c.decided || w.Sign == '-'
	case w.neutral && c.neutral == nil:
		c.neutral = it
	}
}

// winner is the convention with most votes; a tie is signs.
func (c census) winner() tree.Convention {
	letters := c.letters
	if !c.decided {
		letters += c.alone
	}
	switch {
	case letters > c.signs && letters > c.arrows:
		return tree.Letters
	case c.arrows > c.signs && c.arrows > letters:
		return tree.Arrows
	case letters+c.signs+c.arrows == 0 && c.neutral != nil:
		return tree.Letters
	}
	return tree.Signs
}

// lettersAlone reports whether every note of a line carries a letter.
func lettersAlone(items []Item) bool {
	lettered := false
	for _, it := range items {
		if it.Kind != Note {
			continue
		}
		if !isLetter(it.Written.Letter) && !(it.Written.neutral && it.Written.Sign == 0) {
			return false
		}
		lettered = lettered || isLetter(it.Written.Letter)
	}
	return lettered
}

// breathBefore reports whether the page writes its letters or arrows before the
// numbers. The first note that has one and touches no other decides.
func (p *reader) breathBefore(ours func(rune) bool) bool {
	var first *Written
	for _, l := range p.Lines {
		for i := range l.first {
			it := &l.first[i]
			if l.Kind != tree.TabLine || it.Kind != Note || !ours(it.Written.Letter) {
				continue
			}
			if apart(l.first, i) {
				return it.Written.Before
			}
			if first == nil {
				first = &it.Written
			}
		}
	}
	return first != nil && first.Before
}

// apart reports whether item i touches no other note.
func apart(items []Item, i int) bool {
	touches := func(k int) bool { return items[k].Kind == Note || items[k].Kind == Hold }
	before := items[i].Adjacent && i > 0 && touches(i-1)
	after := i+1 < len(items) && items[i+1].Adjacent && items[i+1].Kind == Note
	return !before && !after
}

// foreign reports whether a line is in letters alone, which in a page of signs or arrows
// are words.
func (l *Line) foreign() bool {
	return l.Kind == tree.TextLine && l.votes.others == 0 && lettersAlone(l.first)
}

// demote makes lines of letters alone text on a page of signs or arrows.
func (p *reader) demote() {
	for _, l := range p.Lines {
		if p.Convention != tree.Letters && l.Kind == tree.TabLine && !l.forced() && lettersAlone(l.first) {
			l.Kind = tree.TextLine
		}
	}
}

// checkMixed gives the one warning about notes in another convention.
func (p *reader) checkMixed() {
	var lines []string
	var first diag.Span
	for _, l := range p.Lines {
		at, found := p.stranger(l)
		if !found {
			continue
		}
		if len(lines) == 0 {
			first = at
		}
		lines = append(lines, strconv.Itoa(l.Number))
	}
	if len(lines) == 0 {
		return
	}
	p.Add(diag.Warning, diag.MixedConventions, first, "Write the whole page one way, or write tab: before a line that is to be played as it stands.",
		fmt.Sprintf("This page tells blow from draw by %s, but not on %s.", p.Convention, lineList(lines)))
}

// stranger finds the first note of a line that is in another convention.
func (p *reader) stranger(l *Line) (diag.Span, bool) {
	for _, it := range l.first {
		if it.Kind == Note && (l.Kind == tree.TabLine && p.strange(it.Written) || l.foreign() && p.Convention != tree.Letters) {
			return it.Span, true
		}
	}
	return diag.Span{}, false
}

// strange reports whether a note is written in another convention than the page.
func (p *reader) strange(w Written) bool {
	switch p.Convention {
	case tree.Letters:
		return w.Sign != 0 || w.doubled || isArrow(w.Letter)
	case tree.Arrows:
		return w.Sign != 0 || isLetter(w.Letter)
	}
	return w.Letter != 0
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

// checkBare warns of bare numbers on a page of letters or arrows.
func (p *reader) checkBare(items []Item) {
	if p.Convention == tree.Signs || p.bareBlown {
		return
	}
	for _, it := range items {
		if it.Kind == Note && it.Written.Sign == 0 && it.Written.Letter == 0 {
			p.Report(diag.Problem{
				Severity: diag.Warning, Code: diag.BareNumber, Span: it.Span,
				Message: "{note} does not say blow or draw, and is blown.",
				Hint:    "Say which breath, as the other notes do.",
				Values:  diag.Values{diag.Text("note", p.Quote(it.Span))},
				Edits:   func(e *diag.Editor) { p.offerBreaths(e) },
			})
		}
	}
}

// offerBreaths offers both breaths for a bare number, as the page writes them.
func (p *reader) offerBreaths(e *diag.Editor) {
	blow, draw := "B", "D"
	if p.Convention == tree.Arrows {
		blow, draw = "↑", "↓"
	}
	number := e.Text(e.At)
	write := func(mark string) string {
		if p.dialect.before([]rune(mark)[0]) {
			return mark + number
		}
		return number + mark
	}
	e.Write(write(blow))
	e.Write(write(draw))
}
