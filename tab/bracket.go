package tab

import (
	"fmt"

	"reedlark/tab/diag"
)

// pair matches the brackets and braces of a row, and reports what does not
// fit together. What is never closed is reported once a row, at its opener.
func (p *page) pair(r *row) {
	var open []int
	waiting := map[kind]int{}
	for i := range r.items {
		it := &r.items[i]
		switch it.kind {
		case openBracket, openBrace:
			p.nested(r, i, waiting[it.kind])
			open = append(open, i)
			waiting[it.kind]++
		case closeBracket, closeBrace:
			opener := it.kind - 1
			if waiting[opener] == 0 {
				p.strayCloser(r, it)
				continue
			}
			open = p.closeWith(r, open, i, waiting)
		}
	}
	if len(open) > 0 {
		p.neverClosed(r, &r.items[open[0]])
	}
	for _, i := range open {
		r.items[i].match = -1
	}
}

// closeWith closes the innermost opener of its kind; what is open inside it
// is never closed.
func (p *page) closeWith(r *row, open []int, i int, waiting map[kind]int) []int {
	for {
		last := open[len(open)-1]
		open = open[:len(open)-1]
		opener := &r.items[last]
		waiting[opener.kind]--
		if opener.kind == r.items[i].kind-1 {
			opener.match, r.items[i].match = i, last
			if opener.kind == openBracket && !opensWith(r.cells[opener.from].r, r.cells[r.items[i].from].r) {
				p.neverClosed(r, opener)
			}
			return open
		}
		p.neverClosed(r, opener)
	}
}

// nested reports brackets in brackets, and braces that lie too deep.
func (p *page) nested(r *row, i, around int) {
	it := &r.items[i]
	switch {
	case it.kind == openBracket && around == 1:
		p.spoil(r, diag.NestedBrackets, it.span, "Close the first bracket before opening another.", "Brackets cannot stand inside brackets.")
	case it.kind == openBrace && around == p.limits.Depth:
		p.spoil(r, diag.TooDeep, it.span, "", fmt.Sprintf("Braces can stand inside braces %d deep at most.", p.limits.Depth))
	}
}

func (p *page) strayCloser(r *row, it *item) {
	p.spoil(r, diag.NeverOpened, it.span, "Take it out, or write what opens it.", fmt.Sprintf("%s closes something that was never opened.", p.text[it.span.Start:it.span.End]))
}

func (p *page) neverClosed(r *row, it *item) {
	closer := map[rune]string{'(': ")", '[': "]", '{': "}"}[r.cells[it.from].r]
	p.spoil(r, diag.NeverClosed, it.span, "Close it with "+closer+" on the same line.", fmt.Sprintf("%s is opened here and never closed.", p.text[it.span.Start:it.span.End]))
}

// spoil reports brackets that do not fit together. Only the first such problem
// of a row is reported: the rest follow from it.
func (p *page) spoil(r *row, code diag.Code, at diag.Span, hint, message string) {
	if !r.broken {
		p.add(diag.Error, code, at, hint, message)
	}
	r.broken, r.doubt = true, true
}

// settleBrackets gives the notes in brackets their role: grace notes where the
// bracket touches what follows, filler elsewhere. It also checks what stands in braces.
func (p *page) settleBrackets(r *row) {
	if r.broken {
		return
	}
	for i := range r.items {
		switch it := &r.items[i]; it.kind {
		case openBracket:
			p.bracketed(r, i)
		case openBrace:
			p.braced(r, i)
		}
		p.dashBefore(r, i)
	}
}

// bracketed settles one bracket.
func (p *page) bracketed(r *row, i int) {
	end := r.items[i].match
	inside := r.items[i+1 : end]
	notes := false
	for _, it := range inside {
		notes = notes || it.kind == noteItem
	}
	role := Filler
	if notes && graced(r.items, end) {
		role = Grace
	}
	if len(inside) == 0 {
		p.add(diag.Warning, diag.EmptyBracket, r.items[i].span, "Write a note in them, or take them out.", "There is nothing in these brackets.")
	}
	for k := range inside {
		it := &inside[k]
		it.role = role
		if role == Grace && (it.kind == holdItem || it.kind == restItem) {
			p.add(diag.Warning, diag.GraceHeld, it.span, "Take it out, or put a blank after the bracket to give its notes their own beats.", "Grace notes take no time of their own, so they cannot be held and need no rest.")
		}
	}
}

// graced says that the closing bracket at end touches the note, brace or
// slide after it.
func graced(items []item, end int) bool {
	if end+1 == len(items) || !items[end+1].glued {
		return false
	}
	k := items[end+1].kind
	return k == noteItem || k == openBrace || k == slideItem
}

// braced checks what stands in one brace.
func (p *page) braced(r *row, i int) {
	end := r.items[i].match
	shares := false
	for k := i + 1; k < end; k++ {
		it := &r.items[k]
		grace := it.kind == noteItem && r.items[i].role == Grace
		shares = shares || it.sounding() || it.kind == holdItem || grace
		switch it.kind {
		case barItem, openRepeat, closeRepeat:
			p.spoil(r, diag.BarInBrace, it.span, "Close the brace before the bar line.", "A beat in braces cannot have a bar line or a repeat sign in it.")
		}
		if it.kind == openBrace {
			k = it.match
			shares = true
		}
	}
	if !shares && !r.doubt {
		p.spoil(r, diag.EmptyBrace, r.items[i].span, "Write the notes that share the beat in them, as in {4 -4}.", "There is nothing in these braces to share a beat.")
	}
	r.items[end].stretched(r.items, end)
}

// stretched marks the hold glued to the brace that closes at end.
func (it *item) stretched(items []item, end int) {
	if end+1 < len(items) && items[end+1].kind == holdItem && items[end+1].glued {
		items[end+1].stretch = true
	}
}

// dashBefore reports a dash glued to an opening bracket or brace.
func (p *page) dashBefore(r *row, i int) {
	it := &r.items[i]
	opens := it.kind == openBracket || it.kind == openBrace
	if !opens || !it.glued || i == 0 || r.items[i-1].kind != holdItem || !r.dashAt(it.from-1) {
		return
	}
	r.doubt = true
	p.add(diag.Error, diag.SignBeforeBracket, r.items[i-1].span, "Write the sign before each number inside.", "A dash cannot stand before a bracket or a brace: the draw sign goes to each number.")
}
