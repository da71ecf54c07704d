package tab

import (
	"fmt"
	"strings"

	"reedlark/tab/diag"
)

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

// aboutNamed warns of a name with nothing but a bare number after it above all
// that plays, as in Position: 2.
func (p *page) aboutNamed(r *row) {
	if p.played || r.named[1] == 0 || len(r.items) != 2 || r.items[1].kind != noteItem || !r.items[1].written.plain() {
		return
	}
	at := spanOf(r.cells, r.named[0], r.items[1].to)
	p.add(diag.Warning, diag.TwoReadings, at, "Write text: before it if it is not to be played. Headers are Title:, Harp:, Tempo:, Metre:, Swing:, Layout: and Tuning:.",
		fmt.Sprintf("“%s” is read as a name and a note to play.", shorten(p.text[at.Start:at.End])))
}
