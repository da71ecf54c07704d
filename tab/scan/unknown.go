package scan

import (
	"slices"

	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// askAbout reports what of the dialect is in doubt: one question for the page.
func (p *reader) askAbout(a *answers, u *usage) {
	if p.opt.Convention != "" && p.opt.Convention != tree.Auto && p.opt.Convention != tree.Marks {
		return
	}
	p.askRows(a, u)
	switch {
	case a.breathed() || a.rows != nil:
	case p.askMarks(a, u):
	case a.bracketed == "" && p.askBrackets(u):
	default:
		p.askNoDraw(a, u)
	}
	if u.opens > 0 {
		p.askNumbers(a)
		p.askGroups(a, u)
	}
}

// The least there must be of something before it raises a question.
const (
	leastBracketed = 3 // holes in brackets
	leastMarked    = 3 // holes with a mark
)

// askBrackets warns that brackets may mean draw on a page without any drawn
// note.
func (p *reader) askBrackets(u *usage) bool {
	if u.brackets[inRound]+u.brackets[inSquare] < leastBracketed || u.usuals(saysDraw)+u.usuals(saysBlow) > 0 || u.behind > 0 {
		return false
	}
	at, found := p.firstBracketed()
	if !found {
		return false
	}
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.BracketsMayBeDraw, Span: at,
		Values:  diag.Values{diag.Number("holes", u.brackets[inRound]+u.brackets[inSquare])},
		Message: "Nothing on this page says draw, so its {holes} holes in brackets may be the drawn ones; they are played as notes that may be left out.",
		Hint:    "Write Bracketed: draw at the top of the page, or Bracketed: optional.",
		Edits: func(e *diag.Editor) {
			e.Header("Bracketed: draw").ForPage()
			e.Header("Bracketed: optional").Keep().ForPage()
		},
	})
	return true
}

// firstBracketed is the first hole in brackets.
func (p *reader) firstBracketed() (diag.Span, bool) {
	for _, l := range p.Lines {
		if l.Kind != tree.TabLine {
			continue
		}
		for i := range l.first {
			if l.first[i].Kind == OpenBracket && i+1 < len(l.first) && l.first[i+1].Kind == Note {
				return l.first[i].Span, true
			}
		}
	}
	return diag.Span{}, false
}

// askMarks reports marks that nobody explained, and reads the page as if the
// likelier meaning had been given, so that nothing else is said about them.
func (p *reader) askMarks(a *answers, u *usage) bool {
	var unknown, known []affix
	marked := 0
	for _, x := range u.order {
		switch {
		case x.bare() || x.method() || x.ordinary():
		case x.usual() != saysNothing:
			known = append(known, x)
		default:
			unknown = append(unknown, x)
			marked += u.affixes[x]
		}
	}
	if len(unknown) == 0 || marked < leastMarked || marked*3 < u.holes {
		return false
	}
	slices.SortStableFunc(unknown, func(x, y affix) int { return u.affixes[y] - u.affixes[x] })
	first, second := unknown[0], affix{}
	if len(unknown) > 1 {
		second = unknown[1]
	} else if len(known) > 0 {
		second = known[0]
	}
	blow, draw := likelier(first, second)
	if s := second.usual(); !second.bare() && s.letter() != 0 {
		blow, draw = second, first
		if s == saysDraw {
			blow, draw = first, second
		}
	}
	a.marks = append(a.marks, sign{affix: blow, says: saysBlow}, sign{affix: draw, says: saysDraw})
	p.unknownMarks(u, blow, draw)
	return true
}

// ordinary reports whether an affix is one of the signs of the page's numbers.
func (x affix) ordinary() bool { return x.before == "-" || x.before == "+" }

// pairs are marks that are often met for blow and draw. Common practice, no source.
var pairs = [][2]string{{"^", "v"}, {"↑", "↓"}, {"u", "d"}, {"S", "A"}, {"E", "I"}, {"O", "I"}, {"T", "H"}, {"B", "Z"}, {"B", "S"}, {"+", "-"}, {"W", "Z"}, {"P", "S"}}

// likelier is which of two marks is more likely blow; a bare number is.
func likelier(x, y affix) (blow, draw affix) {
	if x.bare() || y.bare() {
		if x.bare() {
			return x, y
		}
		return y, x
	}
	for _, pair := range pairs {
		if (y.before+y.after) == pair[0] && (x.before+x.after) == pair[1] || (y.flipped().before+y.flipped().after) == pair[0] && (x.flipped().before+x.flipped().after) == pair[1] {
			return y, x
		}
	}
	return x, y
}

// unknownMarks is the one error about marks that nobody explained.
func (p *reader) unknownMarks(u *usage, blow, draw affix) {
	x, at := draw, draw
	if u.affixes[blow] > 0 && !blow.bare() && u.first[blow] < u.first[draw] {
		at = blow
	}
	span := p.firstWith(at, u.first[at])
	one, other := sign{affix: blow}.String(), sign{affix: draw}.String()
	p.Report(diag.Problem{
		Severity: diag.Error, Code: diag.UnknownMarks, Span: span,
		Values:  diag.Values{diag.Text("one", one), diag.Text("other", other), diag.Number("ones", u.affixes[blow]), diag.Number("others", u.affixes[x])},
		Message: "Holes are written like {one} ({ones} times) and like {other} ({others} times), and nothing says which is blow and which is draw.",
		Hint:    "Write Blow: {one} and Draw: {other} at the top of the page, or the other way round.",
		Edits: func(e *diag.Editor) {
			e.Headers("Blow: "+one, "Draw: "+other).ForPage()
			e.Headers("Blow: "+other, "Draw: "+one).ForPage()
		},
	})
}

// firstWith is where a mark is written first.
func (p *reader) firstWith(x affix, line int) diag.Span {
	for _, l := range p.Lines[max(line-1, 0):] {
		tokens := l.tokens(nil, l.Body)
		for i := range tokens {
			if tokens[i].kind == holeToken && l.Cells.affixOf(tokens, i) == x {
				return l.Cells.Span(tokens[i].from, tokens[i].to)
			}
		}
	}
	return diag.Span{}
}
