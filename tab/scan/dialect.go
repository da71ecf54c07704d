package scan

import (
	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// settleDialect finds out how the page shows blow, draw, bends and overs, and
// what its brackets mean: the caller's word first, then the headers, a legend,
// and the notes themselves. A page in a dialect of its own is respelled.
func (p *reader) settleDialect() {
	u := p.countUsage()
	if u.holes == 0 {
		return
	}
	a := &answers{bendB: u.has(affix{before: "-"}) || u.has(affix{before: "−"}) || u.has(affix{after: "↓"})}
	if forced := p.opt.Convention; forced != "" && forced != tree.Auto {
		p.forceDialect(a, u, forced)
	} else {
		p.dialectHeaders(a, u)
		p.obeyLegends(a, u)
		u.byNotes(a)
	}
	u.complete(a)
	p.findRows(a)
	p.askAbout(a, u)
	a.settle()
	if a.full && !a.breathed() && a.rows == nil && u.has(affix{before: "-"}) {
		a.signed = true // only bends or holds are marked otherwise
		a.marks = append(a.marks, sign{says: saysBlow}, sign{affix: affix{before: "-"}, says: saysDraw})
	}
	p.answers, p.Respelled = a, a.full
	p.respellRows(a)
	if p.free() && len(p.unread) > 0 {
		p.unreadLegend(p.unread[0])
	}
	if a.full || u.methods+u.behind > 0 || a.bracketed == tree.BracketedTogether {
		p.respellLines(a)
	}
}

// forceDialect takes the caller's convention. It leaves legends unread where the
// convention needs none.
func (p *reader) forceDialect(a *answers, u *usage, c tree.Convention) {
	a.because = tree.BecauseRequest
	legends := p.readLegends(u)
	switch c {
	case tree.Trailing:
		a.marks = append(a.marks, trailing...)
	case tree.Words:
		a.words = true
	case tree.Brackets, tree.Marks:
		p.dialectHeaders(a, u)
		p.obey(a, u, legends)
		if c == tree.Brackets && a.bracketed == "" {
			a.bracketed, a.round, a.square = tree.BracketedDraw, true, true
		}
	default:
		for _, l := range legends {
			if u.unusual(l.marks) {
				p.Report(diag.Problem{
					Severity: diag.Note, Code: diag.LegendUnread, Span: l.span, Values: diag.Values{diag.Text("convention", string(c))},
					Message: "This explanation of marks is left unread, because the page was asked to be read as {convention}.",
				})
				return
			}
		}
	}
}

// trailing are the signs behind the holes.
var trailing = []sign{{affix: affix{after: "+"}, says: saysBlow}, {affix: affix{after: "-"}, says: saysDraw}}

// unusual reports whether any of some marks is not read so without a legend.
func (u *usage) unusual(marks []sign) bool {
	for _, m := range marks {
		if m.unusual() {
			return true
		}
	}
	return false
}

// byNotes settles what the notes themselves show.
func (u *usage) byNotes(a *answers) {
	plus, minus := u.affixes[affix{after: "+"}], u.affixes[affix{after: "-"}]
	leads := u.affixes[affix{before: "-"}] + u.affixes[affix{before: "+"}]
	switch {
	case a.breathed():
	case plus+minus >= 3 && (plus+minus)*2 > u.holes && plus > 0 && minus > 0 && leads == 0:
		a.marks = append(a.marks, trailing...)
		a.reason(tree.BecauseNotes, 0)
	case u.breathed >= 2 && u.breathed*2 >= u.holes:
		a.words = true
		a.reason(tree.BecauseNotes, 0)
	}
}

// complete gives the other breath to the other mark, or to bare numbers, where
// only one breath was explained.
func (u *usage) complete(a *answers) {
	for _, known := range []says{saysBlow, saysDraw} {
		if a.words || !a.settled(known) || a.settled(known.other()) {
			continue
		}
		m, found := u.onlyOther(a)
		if !found {
			m = affix{}
		}
		if u.usuals(known.other()) == 0 {
			a.marks = append(a.marks, sign{affix: m, says: known.other()})
		}
	}
}

// usuals counts the holes that are marked for a breath in a usual way.
func (u *usage) usuals(s says) (n int) {
	for x, times := range u.affixes {
		if !x.bare() && x.usual() == s {
			n += times
		}
	}
	return n
}

// onlyOther is the one mark of the page that nobody explained.
func (u *usage) onlyOther(a *answers) (affix, bool) {
	var out []affix
	for _, x := range u.order {
		if _, known := a.find(x); !known && !x.bare() && x.usual() == saysNothing && !x.method() {
			out = append(out, x)
		}
	}
	if len(out) != 1 {
		return affix{}, false
	}
	return out[0], true
}

// method reports whether an affix marks a bend, an over, a shake or a hold, or
// a hold mark ends it.
func (x affix) method() bool {
	if x.before != "" {
		return false
	}
	r := []rune(x.after)
	return len(r) > 0 && (isMethodMark(r[0]) || HoldValue(r[0]) > 0 || x.after == "bb")
}

// settle works out what the answers ask of the respelling.
func (a *answers) settle() {
	a.full = a.words || a.rows != nil || a.bracketed == tree.BracketedDraw || a.bracketed == tree.BracketedBlow
	for _, m := range a.marks {
		if m.says.letter() != 0 && m.unusual() || m.says == saysHold && m.unusual() || m.says == saysBend && m.unusual() || m.says == saysOver && m.unusual() {
			a.full = true
		}
		a.apart = a.apart || m.before == "- " && m.says == saysDraw
	}
}

// respellLines respells every line that is tab then.
func (p *reader) respellLines(a *answers) {
	var room []token
	var items []Item
	for _, l := range p.Lines {
		if l.Kind == tree.CommentLine || l.Kind == tree.HeaderLine || l.Kind == tree.ChordsLine || l.Kind == tree.CountLine || l.key == "text" || l.legend || l.given || a.rows[l] != nil || !l.Cells.numbered(l.Body) {
			continue
		}
		from := l.Body
		if l.Named[1] == 0 {
			_, end := readName(l.Cells, l.Body)
			from = max(from, end)
		}
		room = l.tokens(room, from)
		cells, did := a.respell(l.Cells, from, room)
		if !did {
			continue
		}
		old := *l
		l.respelled(cells)
		items = l.classify(items)
		if l.Kind != tree.TabLine {
			*l = old
			continue
		}
		l.spelled = true
	}
}

// respelled gives a line other cells, and forgets what was read of the old.
// What was recognised before moves with its cells.
func (l *Line) respelled(cells Cells) {
	old := l.marks
	l.marks = nil
	for i, k := 0, 0; i < len(cells) && len(old) > 0; i++ {
		for k < len(l.Cells) && l.Cells[k].at < cells[i].at {
			k++
		}
		if m, ok := old[k]; ok && k < len(l.Cells) && l.Cells[k].at == cells[i].at && l.Cells[k].R == cells[i].R {
			end := l.Cells[min(m.to, len(l.Cells))-1].end
			m.to = i + 1
			for m.to < len(cells) && cells[m.to].at < end {
				m.to++
			}
			l.mark(i, m)
		}
	}
	l.Cells, l.first, l.votes = cells, nil, votes{}
	l.Body, l.key, l.Named, l.Kind = l.Listed, "", [2]int{}, tree.TextLine
}

// convention is the name of the dialect, given the convention that its
// respelled lines voted for.
func (a *answers) convention(voted tree.Convention) tree.Convention {
	switch {
	case !a.full:
		return voted
	case a.signed:
		return tree.Signs
	case a.words:
		return tree.Words
	case a.rows != nil:
		return a.rowsConvention()
	case a.bracketed == tree.BracketedDraw || a.bracketed == tree.BracketedBlow:
		return tree.Brackets
	}
	usuals, behind := true, true
	for _, m := range a.marks {
		if m.says.letter() == 0 || m.bare() {
			continue
		}
		usuals = usuals && m.usual() != saysNothing
		behind = behind && (m.affix == affix{after: "+"} || m.affix == affix{after: "-"})
	}
	switch {
	case behind && a.breathed():
		return tree.Trailing
	}
	return tree.Marks
}
