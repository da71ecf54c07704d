package tab_test

import (
	"fmt"
	"strings"

	"reedlark/tab"
	"reedlark/tab/tree"
)

// dump writes a document as a golden shows it: its lines, its head, its piece
// in playing order, and what there is to say about it.
func dump(d *tab.Document) string {
	var b strings.Builder
	fmt.Fprintf(&b, "convention %s", d.Convention)
	if m := d.Metre.String(); m != "" {
		fmt.Fprintf(&b, ", metre %s", m)
	}
	b.WriteString("\n")
	dumpDialect(&b, d.Dialect)
	dumpHead(&b, d.Head)
	for _, l := range d.Lines {
		fmt.Fprintf(&b, "%3d %-7s %q\n", l.Number, l.Kind, l.Text)
	}
	dumpPiece(&b, d.Unfold())
	for _, x := range d.Source.PlaceAll(d.Problems) {
		fmt.Fprintf(&b, "%d:%d+%d %s %s: %s", x.Line, x.Column, x.Length, x.Severity, x.Code, x.Message)
		if x.Hint != "" {
			fmt.Fprintf(&b, " [%s]", x.Hint)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// dumpDialect writes a dialect that a page had to explain, or that is neither
// signs, letters nor arrows.
func dumpDialect(b *strings.Builder, d tab.Dialect) {
	if explained(d) {
		fmt.Fprintf(b, "dialect blow %q, draw %q, bend %q, over %q, bracketed %s, because %s, line %d\n",
			d.Blow, d.Draw, d.Bend, d.Over, d.Bracketed, d.Because, d.Line)
	}
}

// explained reports whether a dialect had to be explained, or is neither signs,
// letters nor arrows.
func explained(d tab.Dialect) bool {
	told := d.Because == tree.BecauseHeader || d.Because == tree.BecauseLegend
	return told || d.Convention != tab.Signs && d.Convention != tab.Letters && d.Convention != tab.Arrows
}

func dumpHead(b *strings.Builder, h tab.Head) {
	if h.Title != "" {
		fmt.Fprintf(b, "title %q\n", h.Title)
	}
	if h.Harp.Value != "" {
		fmt.Fprintf(b, "harp %q, from Key: %t\n", h.Harp.Value, h.IsKey)
	}
	if h.Layout.Value != "" || h.Tuning.Value != "" {
		fmt.Fprintf(b, "layout %q, tuning %q\n", h.Layout.Value, h.Tuning.Value)
	}
	if h.Tempo != 0 || h.Swing != 0 {
		fmt.Fprintf(b, "tempo %g, swing %g\n", h.Tempo, h.Swing)
	}
}

func dumpPiece(b *strings.Builder, p *tab.Piece) {
	for _, e := range p.Events {
		fmt.Fprintf(b, "%6s +%-4s %-6s %s", e.Start.String(), e.Beats.String(), e.Role, sound(e.Note))
		for _, flag := range []struct {
			set  bool
			name string
		}{{e.NewPhrase, "phrase"}, {e.Breath, "breath"}, {e.Swung, "swung"}} {
			if flag.set {
				b.WriteString(" " + flag.name)
			}
		}
		b.WriteString("\n")
	}
	fmt.Fprintf(b, "%s beats, pick-up %s, bars at", p.Beats.String(), p.Pickup.String())
	for _, at := range p.Bars {
		b.WriteString(" " + at.String())
	}
	if len(p.Chords) > 0 {
		b.WriteString("\nchords")
	}
	for _, c := range p.Chords {
		fmt.Fprintf(b, " %s@%s", c.Chord.Symbol, c.At.String())
	}
	b.WriteString("\nlines")
	for _, m := range p.Marks {
		fmt.Fprintf(b, " %s%d@%s", map[bool]string{true: "-", false: "+"}[m.Leave], m.Line, m.At.String())
	}
	b.WriteString("\n")
}

// sound writes a note's sound in words of its own, not in any convention.
func sound(n *tab.Note) string {
	if n == nil {
		return "rest"
	}
	s := fmt.Sprintf("%s %v", n.Breath, n.Holes)
	if n.Bend > 0 {
		s += fmt.Sprintf(" bend %d", n.Bend)
	}
	if n.Over {
		s += " over"
	}
	if n.Shake {
		s += " shake"
	}
	if n.SlideIn != nil {
		s += " slide-in"
	}
	if n.SlideTo != nil {
		s += " slide-to"
	}
	if n.SlideOff != nil {
		s += " slide-off"
	}
	return s
}

// shape is what a document says, without the places where it says it and the
// convention it says it in.
func shape(d *tab.Document) string {
	var b strings.Builder
	fmt.Fprintf(&b, "metre %s\n", d.Metre)
	dumpHead(&b, d.Head)
	for _, l := range d.Lines {
		fmt.Fprintf(&b, "%d %s\n", l.Number, l.Kind)
	}
	dumpPiece(&b, d.Unfold())
	return b.String()
}
