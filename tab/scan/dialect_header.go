package scan

import (
	"strings"
	"unicode"

	"reedlark/tab/diag"
	"reedlark/tab/lexicon"
	"reedlark/tab/tree"
)

// asked are the headers of the dialect, and what each asks about.
var asked = map[string]says{
	"blow": saysBlow, "draw": saysDraw, "bend": saysBend, "over": saysOver, "bracketed": saysOptional, "holds": saysHold,
}

// isRow reports whether the value of a header of the dialect is a row of notes:
// it has two holes or more.
func (c Cells) isRow() bool {
	holes := 0
	for i := 0; i < len(c); i++ {
		if isHole(c[i].R) {
			holes++
			i = c.skipHole(i) - 1
		}
	}
	return holes > 1
}

// dialectHeaders obeys the headers of the dialect.
func (p *reader) dialectHeaders(a *answers, u *usage) {
	for _, l := range p.Lines {
		about, ours := asked[l.key]
		if l.Kind != tree.HeaderLine || !ours {
			if l.Kind == tree.TabLine || l.Kind == tree.TextLine && l.Cells.numbered(l.Body) && holesLead(l.tokens(nil, l.Body)) {
				return
			}
			continue
		}
		if a.settled(about) || about == saysOptional && a.bracketed != "" {
			continue // readHeader says that it was given twice
		}
		value := l.Cells[l.Body:].Trimmed()
		if about == saysOptional {
			l.obeyed = a.setBracketed(value.Text())
			l.lasting = a.bracketed == tree.BracketedOptional
		} else if m, ok := markIn(value, u); ok {
			m.says, m.bends = about, 1
			l.obeyed = true
			if m.brackets() {
				a.bracket(m)
			} else {
				a.marks = append(a.marks, m)
			}
		}
		if l.obeyed {
			a.reason(tree.BecauseHeader, l.Number)
		}
	}
}

// setBracketed reads the value of Bracketed:.
func (a *answers) setBracketed(word string) bool {
	for _, s := range lexicon.Senses(word) {
		switch s.Meaning {
		case lexicon.Blow:
			a.bracketed = tree.BracketedBlow
		case lexicon.Draw:
			a.bracketed = tree.BracketedDraw
		case lexicon.Together:
			a.bracketed = tree.BracketedTogether
		case lexicon.Optional:
			a.bracketed = tree.BracketedOptional
		default:
			continue
		}
		a.round, a.square = true, true
		return true
	}
	return false
}

// markIn reads a mark written with a hole, or a bare letter, word or sign.
func markIn(value Cells, u *usage) (sign, bool) {
	if len(value) == 0 || len(value) > 2*longestAffix {
		return sign{}, false
	}
	tokens := value.tokens(nil, 0, nil)
	for i := range tokens {
		t := &tokens[i]
		if t.kind != holeToken {
			continue
		}
		x := value.affixOf(tokens, i)
		switch {
		case x.brackets(), x == inCircle, x.before != "" && x.after != "":
		case len(tokens) == 3 && tokens[0].kind == openToken && tokens[2].kind == closeToken:
			x = pairOf(value[tokens[0].from].R)
		case len(tokens) > 1:
			before, after := strings.TrimSpace(value[:t.number].Text()), strings.TrimSpace(value[t.end:].Text())
			if before == "-" && t.number == t.from {
				before = "- "
			}
			x = affix{before, after}
			if len(tokens) > 2 && before != "" && after != "" || len(tokens) > 3 {
				return sign{}, false
			}
		}
		return sign{affix: x}, true
	}
	text := value.Text()
	if strings.ContainsRune(text, Blank) {
		return sign{}, false
	}
	if unicode.IsLetter(value[0].R) {
		return sign{affix: affix{after: text}, word: true}, true
	}
	forms := markOf(text, 0, len(value)).forms
	if best := u.best(forms, false); len(best) > 0 {
		return sign{affix: best[0]}, true
	}
	return sign{affix: forms[1]}, true
}

// obeyLegends reads the legends of the page and obeys them.
func (p *reader) obeyLegends(a *answers, u *usage) {
	p.obey(a, u, p.readLegends(u))
}

func (p *reader) obey(a *answers, u *usage, legends []legend) {
	for _, l := range legends {
		if m, ok := u.contradicted(l.marks); ok && a.because == "" {
			p.contradicts(l, m, u)
			continue
		}
		if !a.add(tree.BecauseLegend, l.line.Number, l.marks...) || !u.unusual(l.marks) {
			continue
		}
		p.Report(diag.Problem{
			Severity: diag.Note, Code: diag.LegendRead, Span: l.span, Values: diag.Values{diag.Text("legend", p.Text[l.span.Start:l.span.End])},
			Message: "The page is read as “{legend}” says.",
		})
	}
}

// unreadLegend warns of a line that seems to explain a mark.
func (p *reader) unreadLegend(at diag.Span) {
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.LegendUnread, Span: at, Values: diag.Values{diag.Text("words", p.Text[at.Start:at.End])},
		Message: "“{words}” seems to explain a mark of this page, and could not be read.",
		Hint:    "Write it as a header, such as Draw: 4v, or write text: before the line.",
		Edits:   func(e *diag.Editor) { e.HeadLine("text:").Keep() },
	})
}

// contradicted finds a leading sign that a legend turns round although more than
// half of the notes carry it.
func (u *usage) contradicted(marks []sign) (sign, bool) {
	for _, m := range marks {
		sign := m.affix == affix{before: "-"} || m.affix == affix{before: "+"}
		if sign && m.says.letter() != 0 && m.says != m.usual() && u.affixes[m.affix]*2 > u.holes {
			return m, true
		}
	}
	return sign{}, false
}

func (p *reader) contradicts(l legend, m sign, u *usage) {
	ours, theirs := "Draw: ", "Blow: "
	if m.usual() == saysBlow {
		ours, theirs = theirs, ours
	}
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.LegendContradicts, Span: l.span,
		Values:  diag.Values{diag.Text("mark", m.String()), diag.Number("notes", u.affixes[m.affix]), diag.Number("all", u.holes)},
		Message: "This says the opposite of what {mark} usually means, on {notes} of the {all} notes, so it is not obeyed.",
		Hint:    "Write " + ours + "{mark} or " + theirs + "{mark} at the top of the page.",
		Edits: func(e *diag.Editor) {
			e.Header(ours + m.String()).Keep().ForPage()
			e.Header(theirs + m.String()).ForPage()
		},
	})
}
