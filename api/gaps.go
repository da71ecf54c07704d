package api

import (
	"context"
	"slices"
	"strings"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/rhythm"
)

// aboutGaps says that the blanks of a page seem to show its rhythm. Few pages have
// blanks enough to be looked at.
func (p *Piece) aboutGaps() {
	if p.score == nil || p.doc.Head.Spaced || !strings.Contains(p.req.Tab, "   ") && !strings.Contains(p.req.Tab, "\t") {
		return
	}
	if problem, shown := rhythm.Read(p.doc, p.req.Tab).Gaps(); shown {
		p.reported.Report(problem)
	}
}

// Advice is Diagnostics, and that the page does not say how long its notes are, where
// it does not. Who plays a page need not be told, whoever keeps many does. While its
// dashes are in doubt, they may be holds.
func (p *Piece) Advice(ctx context.Context) ([]diag.Diagnostic, error) {
	list, err := p.Diagnostics(ctx)
	if err != nil || slices.ContainsFunc(list, aboutLengths) {
		return list, err
	}
	if problem, missing := rhythm.Read(p.doc, p.req.Tab).Missing(); missing {
		list = p.doc.Source.PlaceAll(append(slices.Clone(p.reported), problem))
	}
	return list, nil
}

// aboutLengths says that a diagnostic asks how long notes are.
func aboutLengths(d diag.Diagnostic) bool {
	return slices.Contains([]diag.Code{diag.UseGaps, diag.TwoReadings, diag.HoldOrDraw, diag.NoDrawFound}, d.Code)
}

// rewritten is the page in a convention. Where blanks show the rhythm and a note
// does not fit its place any more, the rhythm is written out first.
func (p *Piece) rewritten(to tab.Convention) string {
	printed := p.doc.Print(to)
	if !p.doc.Head.Spaced {
		return printed
	}
	options := p.req.options(p.door.limits)
	read := func(text string) *tab.Document { return tab.Parse(text, options) }
	if sameBeats(p.doc, read(printed)) {
		return printed
	}
	text, ok := rhythm.Read(p.doc, p.req.Tab).WithoutSpacing(read)
	if !ok {
		return printed
	}
	return read(text).Print(to)
}

// sameBeats says that two readings of a page last as long, note for note.
func sameBeats(a, b *tab.Document) bool {
	return slices.EqualFunc(a.Unfold().Events, b.Unfold().Events, func(x, y tab.Event) bool { return x.Start == y.Start && x.Beats == y.Beats })
}
