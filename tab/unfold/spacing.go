package unfold

import (
	"cmp"
	"slices"

	"reedlark/tab/scan"
	"reedlark/tab/spacing"
	"reedlark/tab/tree"
)

// space gives the rows of a page whose blanks show its rhythm the lengths that they
// show. A row with hold marks, braces or counts says its own.
func (p *page) space() {
	var spaced []*row
	var shown []spacing.Row
	for _, r := range p.rows {
		if r.spaced() {
			spaced, shown = append(spaced, r), append(shown, p.shown(r))
		}
	}
	reading := spacing.Read(shown, p.metre.Beats)
	for i, r := range spaced {
		lengths := reading.Lengths(shown[i])
		for k, it := range r.heads(false) {
			it.beats = lengths[k]
		}
	}
}

// spaced reports whether only its blanks can say the rhythm of a row.
func (r *row) spaced() bool {
	marked := slices.ContainsFunc(r.items, func(it item) bool { return it.Kind == scan.Hold || it.Kind == scan.OpenBrace })
	return r.Line.Kind == tree.TabLine && r.counts == nil && !r.Broken && !marked && len(r.heads(false)) > 0
}

// shown is where a row has its notes and bar lines, in columns.
func (p *page) shown(r *row) spacing.Row {
	line := r.Line.Span
	var starts, bars, ends []int
	for i := range r.items {
		it := &r.items[i]
		switch {
		case it.Sounding():
			starts = append(starts, it.Span.Start-line.Start)
		case it.Kind == scan.Bar || it.Kind == scan.OpenRepeat || it.Kind == scan.CloseRepeat:
			bars = append(bars, it.Span.Start-line.Start)
		}
		ends = append(ends, it.Span.End-line.Start)
	}
	text := p.Text[line.Start:line.End]
	end := spacing.Columns(text, []int{slices.MaxFunc(ends, cmp.Compare[int])})
	return spacing.Row{Starts: spacing.Columns(text, starts), Bars: spacing.Columns(text, bars), End: end[0]}
}
