package tab

import (
	"math/big"
	"strings"

	"reedlark/tab/diag"
)

// Parse reads a page.
func Parse(text string, o Options) *Document {
	d := &Document{Source: diag.NewSource(text), Convention: Signs, Metre: o.Metre}
	for i, s := range d.Source.Lines() {
		d.Lines = append(d.Lines, Line{i + 1, TabLine, s, text[s.Start:s.End]})
	}
	return d
}

// Unfold is the page in playing order.
func (d *Document) Unfold() *Piece {
	p := &Piece{Beats: new(big.Rat), Pickup: new(big.Rat)}
	for _, l := range d.Lines {
		at := l.Span.Start
		for k, w := range strings.Fields(l.Text) {
			n := &Note{Span: diag.Span{Start: at, End: at + len(w)}, Text: w, Line: l.Number, Breath: Blow}
			if digits, drawn := strings.CutPrefix(w, "-"); drawn {
				n.Breath, w = Draw, digits
			}
			if len(w) != 1 || w < "1" || w > "9" {
				continue
			}
			n.Holes = []int{int(w[0] - '0')}
			p.Events = append(p.Events, Event{Note: n, Span: n.Span, Line: l.Number, Role: Melody, Start: p.Beats, Beats: big.NewRat(1, 1), NewPhrase: k == 0})
			p.Beats = new(big.Rat).Add(p.Beats, big.NewRat(1, 1))
		}
	}
	return p
}

// Print writes the page in a convention.
func (d *Document) Print(to Convention) string {
	var lines []string
	for _, l := range d.Lines {
		lines = append(lines, l.Text)
	}
	return strings.Join(lines, "\n")
}
