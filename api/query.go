package api

import (
	"net/url"
	"slices"
	"strings"
)

// Query is the query of a URL, split into its pairs. A pair that cannot be read is
// an error only for what reads it.
type Query []queryPair

type queryPair struct {
	name, text string
	broken     error // why it cannot be read
}

// SplitQuery splits a query, without its question mark. It is stricter than
// url.ParseQuery, which leaves out what it cannot read.
func SplitQuery(raw string) (q Query) {
	for piece := range strings.SplitSeq(raw, "&") {
		if piece != "" {
			q = append(q, splitPair(piece))
		}
	}
	return q
}

func splitPair(piece string) (p queryPair) {
	if strings.Contains(piece, ";") {
		p.broken = malformed("", "the query has a bare semicolon: write &, or %%3B for the sign itself")
	}
	name, text, _ := strings.Cut(piece, "=")
	var err error
	if p.name, err = url.QueryUnescape(name); err != nil {
		p.broken = malformed("", "the query has a broken percent code in a name: write %%25 for the sign itself")
	}
	if p.text, err = url.QueryUnescape(text); err != nil && p.broken == nil {
		p.broken = malformed(p.name, "%s has a broken percent code: write %%25 for the sign itself", shown(p.name))
	}
	return p
}

// Get is the text of the first pair of a name, as far as it can be read; "" where
// there is none.
func (q Query) Get(name string) string {
	for _, p := range q {
		if p.name == name {
			return p.text
		}
	}
	return ""
}

// Has says whether there is a pair of one of the names.
func (q Query) Has(names ...string) bool {
	return slices.ContainsFunc(q, func(p queryPair) bool { return slices.Contains(names, p.name) })
}

// Values are the texts of all pairs that can be read, by their names.
func (q Query) Values() map[string]string {
	out := map[string]string{}
	for _, p := range q {
		if _, twice := out[p.name]; !twice && p.broken == nil {
			out[p.name] = p.text
		}
	}
	return out
}

// Take takes the pairs of some names out of a query. It fails with a *CallError
// where one of them is given twice.
func (q Query) Take(names ...string) (taken map[string]string, rest Query, err error) {
	taken = map[string]string{}
	for _, p := range q {
		switch _, twice := taken[p.name]; {
		case !slices.Contains(names, p.name) || p.broken != nil:
			rest = append(rest, p)
		case twice:
			return nil, nil, malformed(p.name, "%s is given more than once", p.name)
		default:
			taken[p.name] = p.text
		}
	}
	return taken, rest, nil
}

// Keep is the query without the pairs that keep says no to.
func (q Query) Keep(keep func(name, text string) bool) (kept Query) {
	for _, p := range q {
		if keep(p.name, p.text) {
			kept = append(kept, p)
		}
	}
	return kept
}

// With is the query with one more pair.
func (q Query) With(name, text string) Query {
	return append(slices.Clone(q), queryPair{name: name, text: text})
}

// pairs are those of a query that can be read as a whole.
func (q Query) pairs() ([]pair, error) {
	out := make([]pair, len(q))
	for i, p := range q {
		if p.broken != nil {
			return nil, p.broken
		}
		out[i] = pair{p.name, given{text: p.text}}
	}
	return out, nil
}

// Request reads a whole request. The error is a *CallError.
func (q Query) Request() (Request, error) {
	pairs, err := q.pairs()
	if err != nil {
		return Request{}, err
	}
	return fill(pairs)
}

// FromQuery reads a whole request from the query of a URL, without its question
// mark. The error is a *CallError.
func FromQuery(raw string) (Request, error) { return SplitQuery(raw).Request() }

// FromHarpQuery reads the query of a harp's chart, which takes layout, tuning
// and a4 alone. The error is a *CallError.
func FromHarpQuery(raw string) (Request, error) {
	r := Defaults()
	pairs, err := SplitQuery(raw).pairs()
	if err != nil {
		return r, err
	}
	if err := known(pairs, harpParameters); err != nil {
		return r, err
	}
	for _, p := range pairs {
		if err := r.set(p.name, p.value); err != nil {
			return r, err
		}
	}
	return r, nil
}
