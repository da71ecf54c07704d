package tab

import "strings"

// Section is a part of the page that has a name.
type Section struct {
	Line int    // from 1: the line that has the name on it, alone or before tab
	Name string // without its brackets or colon
}

// Sections lists the parts that have a name, in the order of the page.
func (d *Document) Sections() []Section {
	var out []Section
	for _, r := range d.rows {
		for _, it := range r.items {
			if it.kind != nameItem {
				break
			}
			out = append(out, Section{it.line, nameIn(d.text[it.span.Start:it.span.End])})
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
