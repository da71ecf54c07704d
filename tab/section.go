package tab

import (
	"strings"

	"reedlark/tab/scan"
)

// Sections lists the parts that have a name, in the order of the page.
func (d *Document) Sections() []Section {
	var out []Section
	for _, r := range d.rows {
		for _, it := range r.Items {
			if it.Kind != scan.Name {
				break
			}
			out = append(out, Section{Line: it.Line, Name: nameIn(d.text[it.Span.Start:it.Span.End])})
		}
	}
	return out
}

// nameIn is a name as it is said: what stands in square brackets, or before a
// colon or a full stop.
func nameIn(text string) string {
	if _, inner, found := strings.Cut(text, "["); found {
		text, _, _ = strings.Cut(inner, "]")
	}
	return strings.Trim(text, " \t:.)")
}
