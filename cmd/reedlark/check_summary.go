package main

import (
	"cmp"
	"io"
	"maps"
	"slices"
	"text/tabwriter"

	"reedlark/tab/diag"
)

// codeCount is how often one code was found.
type codeCount struct {
	Code     diag.Code     `json:"code"`
	Severity diag.Severity `json:"severity"`
	Places   int           `json:"places"`
	Pages    int           `json:"pages"`
	Example  string        `json:"example"` // file:line:column of the first
}

// codeCounts counts codes over many pages.
type codeCounts map[diag.Code]*codeCount

// add takes in what was found on one page.
func (s codeCounts) add(v verdict) {
	seen := map[diag.Code]bool{}
	for _, d := range v.Diagnostics {
		n := s[d.Code]
		if n == nil {
			n = &codeCount{Code: d.Code, Severity: d.Severity, Example: placeName(v.File, d.Place)}
			s[d.Code] = n
		}
		n.Places += d.Total()
		if !seen[d.Code] {
			n.Pages++
		}
		seen[d.Code] = true
	}
}

// sorted lists them, the most frequent first.
func (s codeCounts) sorted() []codeCount {
	out := []codeCount{}
	for _, code := range slices.Sorted(maps.Keys(s)) {
		out = append(out, *s[code])
	}
	slices.SortStableFunc(out, func(a, b codeCount) int { return cmp.Compare(b.Places, a.Places) })
	return out
}

// write shows them as a table.
func (s codeCounts) write(w io.Writer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	if len(s) > 0 {
		printf(t, "places\tpages\tseverity\tcode\tfirst at\n")
	}
	for _, n := range s.sorted() {
		printf(t, "%d\t%d\t%s\t%s\t%s\n", n.Places, n.Pages, n.Severity, n.Code, clean(n.Example))
	}
	_ = t.Flush() // w remembers
}
