package diag

import (
	"fmt"
	"slices"
)

// What an answer shows of a page with very many problems.
const (
	MergeAbove = 3    // places from which warnings and notes of one kind are one diagnostic
	MostPlaces = 1000 // places that a diagnostic lists
	MostEdited = 20   // diagnostics that carry edits of their own
	MostOfCode = 1000 // diagnostics of one severity and code; one more then says how many follow
)

// Diagnostic is a problem as people see it. Warnings and notes of the same code
// and message at more than [MergeAbove] places are one diagnostic, which
// stands where the first of them is.
//
// It is the same type from here to the JSON of an answer.
type Diagnostic struct {
	Severity Severity `json:"severity"`
	Code     Code     `json:"code"`
	Place
	Message string  `json:"message"`
	Hint    string  `json:"hint"`
	Values  Values  `json:"values"`
	Count   int     `json:"count,omitempty"`  // places it stands for; 0 where only its own
	Places  []Place `json:"places,omitempty"` // the first [MostPlaces] of them; nil where only its own
	// Edits are what can be done, the likeliest first; never nil. One of them,
	// for the first diagnostic of its code only, may do it Everywhere.
	Edits []Edit `json:"edits"`
}

// All lists the places the diagnostic stands for, [MostPlaces] at most.
func (d *Diagnostic) All() []Place {
	if d.Count == 0 {
		return []Place{d.Place}
	}
	return d.Places
}

// Total is how many places the diagnostic stands for, listed or not.
func (d *Diagnostic) Total() int { return max(d.Count, 1) }

// Same reports whether two diagnostics say the same of the same place.
func (d *Diagnostic) Same(other *Diagnostic) bool {
	return d.Severity == other.Severity && d.Code == other.Code && d.Place == other.Place && d.Message == other.Message
}

// Place turns one problem's bytes into line, column and length.
func (s *Source) Place(p Problem) Diagnostic { return s.PlaceAll(List{p})[0] }

// PlaceAll turns a list into diagnostics in the order of the page; problems of
// one place keep the order in which they were found. It takes time linear in
// the page and the list.
func (s *Source) PlaceAll(l List) []Diagnostic {
	l = slices.Clone(l)
	slices.SortStableFunc(l, func(a, b Problem) int { return a.Span.Start - b.Span.Start })
	g := s.group(l)
	g.edit()
	return g.out
}

// kind is what problems that are told together have in common. The values are
// in the message.
type kind struct {
	severity      Severity
	code          Code
	message, hint string
}

// grouping is a list on its way to diagnostics.
type grouping struct {
	source  *Source
	list    List
	out     []Diagnostic
	first   []int          // the problem that each diagnostic begins with
	codes   map[Code][]int // problems of each code
	merging map[kind]int   // the diagnostic of a kind at many places
	listed  map[coded]int  // diagnostics of each severity and code, those left out too
}

// coded is what diagnostics that are counted together have in common.
type coded struct {
	severity Severity
	code     Code
}

// group merges what is to be told once.
func (s *Source) group(l List) *grouping {
	g := &grouping{source: s, list: l, codes: map[Code][]int{}, merging: map[kind]int{}, listed: map[coded]int{}}
	total := map[kind]int{}
	for i := range l {
		total[kindOf(&l[i])]++
	}
	g.out = make([]Diagnostic, 0, min(len(l), len(total)*MergeAbove+1))
	for i := range l {
		g.add(i, total[kindOf(&l[i])] > MergeAbove && l[i].Severity != Error)
	}
	g.shorten()
	return g
}

func kindOf(p *Problem) kind { return kind{p.Severity, p.Code, p.Message, p.Hint} }

// add places one problem, alone or with others of its kind.
func (g *grouping) add(i int, merge bool) {
	p := &g.list[i]
	g.codes[p.Code] = append(g.codes[p.Code], i)
	at := g.source.place(p.Span)
	if k, there := g.merging[kindOf(p)]; merge && there {
		d := &g.out[k]
		d.Count++
		if len(d.Places) < MostPlaces {
			d.Places = append(d.Places, at)
		}
		return
	}
	g.listed[coded{p.Severity, p.Code}]++
	if g.listed[coded{p.Severity, p.Code}] > MostOfCode+1 {
		return
	}
	d := Diagnostic{Severity: p.Severity, Code: p.Code, Place: at, Message: p.Message, Hint: p.Hint, Values: p.Values, Edits: []Edit{}}
	if merge {
		g.merging[kindOf(p)] = len(g.out)
		d.Count, d.Places = 1, []Place{at}
	}
	g.out, g.first = append(g.out, d), append(g.first, i)
}

// shorten makes the last diagnostic of a code that has too many to list say how
// many more there are.
func (g *grouping) shorten() {
	seen := map[coded]int{}
	for k := range g.out {
		d := &g.out[k]
		of := coded{d.Severity, d.Code}
		seen[of]++
		if left := g.listed[of] - MostOfCode; seen[of] > MostOfCode && left > 1 {
			more := fmt.Sprintf("From here on there are %d more of this kind (%s), which are not listed one by one.", left, d.Code)
			*d = Diagnostic{Severity: d.Severity, Code: d.Code, Place: d.Place, Message: more, Edits: []Edit{}}
		}
	}
}

// edit gives the first diagnostics their edits, and the first of each code
// the one for all places.
func (g *grouping) edit() {
	seen := map[Code]bool{}
	edited := 0
	for k := range g.out {
		d := &g.out[k]
		lead := !seen[d.Code]
		seen[d.Code] = true
		if g.list[g.first[k]].Edits == nil || g.list[g.first[k]].Message != d.Message || edited == MostEdited && !lead {
			continue
		}
		edits := g.edits(g.first[k])
		if !lead {
			edits = slices.DeleteFunc(edits, func(e *Edit) bool { return e.Everywhere })
		} else if all := g.everywhere(d.Code, edits); all != nil {
			edits = slices.Insert(edits, 1, all)
		}
		if edited == MostEdited {
			edits = slices.DeleteFunc(edits, func(e *Edit) bool { return !e.Everywhere })
		} else if len(edits) > 0 {
			edited++
		}
		for _, e := range edits {
			d.Edits = append(d.Edits, g.placed(*e))
		}
	}
}

// edits builds those of a problem.
func (g *grouping) edits(i int) []*Edit {
	p := &g.list[i]
	if p.Edits == nil {
		return nil
	}
	e := &Editor{At: g.source.clip(p.Span), source: g.source, keeps: p.Severity == Error}
	p.Edits(e)
	return e.edits
}

// everywhere joins the first edits of all problems of a code, where they are
// of one sort; nil where there is nothing to join, or more than a caller wants
// to be sent.
func (g *grouping) everywhere(code Code, lead []*Edit) *Edit {
	if len(lead) == 0 || lead[0].all == "" || len(g.codes[code]) < 2 || len(g.codes[code]) > MostPlaces {
		return nil
	}
	all := &Edit{Label: lead[0].all, Keeps: true, Everywhere: true}
	for _, i := range g.codes[code] {
		edits := g.edits(i)
		if len(edits) == 0 || edits[0].all != all.Label {
			return nil
		}
		all.Keeps = all.Keeps && edits[0].Keeps
		all.Changes = append(all.Changes, edits[0].Changes...)
	}
	slices.SortStableFunc(all.Changes, func(a, b Change) int { return a.Span.Start - b.Span.Start })
	all.Changes = joined(all.Changes)
	if overlap(all.Changes) {
		return nil
	}
	return all
}

// joined makes one of changes, in order, that are the same or take out what
// overlaps.
func joined(changes []Change) []Change {
	out := changes[:1]
	for _, c := range changes[1:] {
		last := &out[len(out)-1]
		switch {
		case c == *last:
		case c.Span.Start < last.Span.End && c.Text == "" && last.Text == "":
			last.Span.End = max(last.Span.End, c.Span.End)
		default:
			out = append(out, c)
		}
	}
	return out
}

// placed is an edit with the places of its changes.
func (g *grouping) placed(e Edit) Edit {
	for i := range e.Changes {
		e.Changes[i].Place = g.source.place(e.Changes[i].Span)
	}
	return e
}
