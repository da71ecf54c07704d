package api

import (
	"net/url"
	"strings"
)

// FromQuery reads a whole request from the query of a URL, without its question
// mark. The error is a *CallError.
func FromQuery(raw string) (Request, error) {
	pairs, err := splitQuery(raw)
	if err != nil {
		return Request{}, err
	}
	return fill(pairs)
}

// FromHarpQuery reads the query of a harp's chart, which takes layout, tuning
// and a4 alone. The error is a *CallError.
func FromHarpQuery(raw string) (Request, error) {
	r := Defaults()
	pairs, err := splitQuery(raw)
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

// splitQuery takes a query apart. It is stricter than url.ParseQuery, which
// reads on after a fault: the rest would silently be missing.
func splitQuery(raw string) ([]pair, error) {
	var pairs []pair
	for piece := range strings.SplitSeq(raw, "&") {
		if piece == "" {
			continue
		}
		if strings.Contains(piece, ";") {
			return nil, malformed("", "the query has a bare semicolon: write &, or %%3B for the sign itself")
		}
		name, text, _ := strings.Cut(piece, "=")
		name, err := url.QueryUnescape(name)
		if err != nil {
			return nil, malformed("", "the query has a broken percent code in a name: write %%25 for the sign itself")
		}
		text, err = url.QueryUnescape(text)
		if err != nil {
			return nil, malformed(name, "%s has a broken percent code: write %%25 for the sign itself", shown(name))
		}
		pairs = append(pairs, pair{name, given{text: text}})
	}
	return pairs, nil
}
