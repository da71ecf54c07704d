package notes

import (
	"fmt"

	"reedlark/tab/diag"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// pair matches the brackets and braces of a row, and reports what does not
// fit together. What is never closed is reported once a row, at its opener.
func (p *reader) pair(r *Row) {
	var open []int
	waiting := map[scan.Kind]int{}
	for i := range r.Items {
		it := &r.Items[i]
		switch it.Kind {
		case scan.OpenBracket, scan.OpenBrace:
			p.nested(r, i, waiting[it.Kind])
			open = append(open, i)
			waiting[it.Kind]++
		case scan.CloseBracket, scan.CloseBrace:
			opener := it.Kind - 1
			if waiting[opener] == 0 {
				p.strayCloser(r, it)
				continue
			}
			open = p.closeWith(r, open, i, waiting)
		}
	}
	if len(open) > 0 {
		p.neverClosed(r, &r.Items[open[0]])
	}
	for _, i := range open {
		r.Items[i].Match = -1
	}
}

// closeWith closes the innermost opener of its kind; what is open inside it
// is never closed.
func (p *reader) closeWith(r *Row, open []int, i int, waiting map[scan.Kind]int) []int {
	for {
		last := open[len(open)-1]
		open = open[:len(open)-1]
		opener := &r.Items[last]
		waiting[opener.Kind]--
		if opener.Kind == r.Items[i].Kind-1 {
			opener.Match, r.Items[i].Match = i, last
			if opener.Kind == scan.OpenBracket && !scan.Closes(r.Line.Cells[opener.From].R, r.Line.Cells[r.Items[i].From].R) {
				p.neverClosed(r, opener)
			}
			return open
		}
		p.neverClosed(r, opener)
	}
}

// nested reports brackets in brackets, and braces that lie too deep.
func (p *reader) nested(r *Row, i, around int) {
	it := &r.Items[i]
	switch {
	case it.Kind == scan.OpenBracket && around == 1:
		p.spoil(r, diag.NestedBrackets, it.Span, "Close the first bracket before opening another.", "Brackets cannot stand inside brackets.")
	case it.Kind == scan.OpenBrace && around == p.limits.Depth:
		p.spoil(r, diag.TooDeep, it.Span, "", fmt.Sprintf("Braces can stand inside braces %d deep at most.", p.limits.Depth))
	}
}

func (p *reader) strayCloser(r *Row, it *Item) {
	p.spoil(r, diag.NeverOpened, it.Span, "Take it out, or write what opens it.", fmt.Sprintf("%s closes something that was never opened.", p.Text[it.Span.Start:it.Span.End]))
}

func (p *reader) neverClosed(r *Row, it *Item) {
	closer := map[rune]string{'(': ")", '[': "]", '{': "}"}[r.Line.Cells[it.From].R]
	p.spoil(r, diag.NeverClosed, it.Span, "Close it with "+closer+" on the same line.", fmt.Sprintf("%s is opened here and never closed.", p.Text[it.Span.Start:it.Span.End]))
}

// spoil reports brackets that do not fit together. Only the first such problem
// of a row is reported: the rest follow from it.
func (p *reader) spoil(r *Row, code diag.Code, at diag.Span, hint, message string) {
	if !r.Broken {
		p.Add(diag.Error, code, at, hint, message)
	}
	r.Broken, r.Doubt = true, true
}

// settleBrackets gives the notes in brackets their role: grace notes where the
// bracket touches what follows, filler elsewhere. It also checks the contents of braces.
func (p *reader) settleBrackets(r *Row) {
	if r.Broken {
		return
	}
	for i := range r.Items {
		switch it := &r.Items[i]; it.Kind {
		case scan.OpenBracket:
			p.bracketed(r, i)
		case scan.OpenBrace:
			p.braced(r, i)
		}
		p.dashBefore(r, i)
	}
}

// bracketed settles one bracket.
func (p *reader) bracketed(r *Row, i int) {
	end := r.Items[i].Match
	inside := r.Items[i+1 : end]
	notes := false
	for _, it := range inside {
		notes = notes || it.Kind == scan.Note
	}
	role := tree.Filler
	if notes && graced(r.Items, end) {
		role = tree.Grace
	}
	if len(inside) == 0 {
		p.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.EmptyBracket, Span: r.Items[i].Span,
			Message: "There is nothing in these brackets.",
			Hint:    "Write a note in them, or take them out.",
			Edits: func(e *diag.Editor) {
				e.Remove("Take them out", diag.Span{Start: r.Items[i].Span.Start, End: r.Items[r.Items[i].Match].Span.End}).Keep()
			},
		})
	}
	for k := range inside {
		it := &inside[k]
		it.Role = role
		if role == tree.Grace && (it.Kind == scan.Hold || it.Kind == scan.Rest) {
			p.Add(diag.Warning, diag.GraceHeld, it.Span, "Take it out, or put a blank after the bracket to give its notes their own beats.", "Grace notes take no time of their own, so they cannot be held and need no rest.")
		}
	}
}

// graced reports whether the closing bracket at end touches the note, brace or
// slide after it.
func graced(items []Item, end int) bool {
	if end+1 == len(items) || !items[end+1].Adjacent {
		return false
	}
	k := items[end+1].Kind
	return k == scan.Note || k == scan.OpenBrace || k == scan.Slide
}

// braced checks the contents of one brace.
func (p *reader) braced(r *Row, i int) {
	end := r.Items[i].Match
	shares := false
	for k := i + 1; k < end; k++ {
		it := &r.Items[k]
		grace := it.Kind == scan.Note && r.Items[i].Role == tree.Grace
		shares = shares || it.Sounding() || it.Kind == scan.Hold || grace
		switch it.Kind {
		case scan.Bar, scan.OpenRepeat, scan.CloseRepeat:
			p.spoil(r, diag.BarInBrace, it.Span, "Close the brace before the bar line.", "A beat in braces cannot have a bar line or a repeat sign in it.")
		}
		if it.Kind == scan.OpenBrace {
			k = it.Match
			shares = true
		}
	}
	if !shares && !r.Doubt {
		p.spoil(r, diag.EmptyBrace, r.Items[i].Span, "Write the notes that share the beat in them, as in {4 -4}.", "There is nothing in these braces to share a beat.")
	}
	r.Items[end].stretched(r.Items, end)
}

// stretched marks the hold that touches the brace that closes at end.
func (it *Item) stretched(items []Item, end int) {
	if end+1 < len(items) && items[end+1].Kind == scan.Hold && items[end+1].Adjacent {
		items[end+1].Stretch = true
	}
}

// dashBefore reports a dash that touches an opening bracket or brace.
func (p *reader) dashBefore(r *Row, i int) {
	it := &r.Items[i]
	opens := it.Kind == scan.OpenBracket || it.Kind == scan.OpenBrace
	if !opens || !it.Adjacent || i == 0 || r.Items[i-1].Kind != scan.Hold || !r.dashAt(it.From-1) {
		return
	}
	r.Doubt = true
	p.Add(diag.Error, diag.SignBeforeBracket, r.Items[i-1].Span, "Write the sign before each number inside.", "A dash cannot stand before a bracket or a brace: the draw sign goes to each number.")
}
