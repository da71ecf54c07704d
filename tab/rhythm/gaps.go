package rhythm

import (
	"slices"
	"strings"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/spacing"
)

// fewest is how many notes a page has before a rhythm is missed: fewer are an example.
const fewest = 8

// Missing is the note that a page does not say how long its notes are; false where it
// does, or has very few.
func (p *Page) Missing() (diag.Problem, bool) {
	if len(p.Notes) < fewest || p.HasRhythm() {
		return diag.Problem{}, false
	}
	return diag.Problem{
		Severity: diag.Note, Code: diag.NoRhythm, Span: p.Notes[0].Span,
		Message: "This page does not say how long the notes are, so each of them lasts one beat.",
		Hint:    "Tap the rhythm, or write a dash after a note for each beat more.",
	}, true
}

// Gaps is the note that the blanks of a page without a rhythm seem to show one; false
// where they do not, or where the words under the notes make them.
func (p *Page) Gaps() (diag.Problem, bool) {
	if len(p.Notes) < fewest || p.HasRhythm() || p.overWords() {
		return diag.Problem{}, false
	}
	var rows []spacing.Row
	for _, r := range p.rows {
		rows = append(rows, p.columns(r))
	}
	if !spacing.Read(rows, p.doc.Metre.Beats).Rhythm() {
		return diag.Problem{}, false
	}
	return diag.Problem{
		Severity: diag.Note, Code: diag.UseGaps, Span: p.Notes[0].Span,
		Message: "The gaps between the notes look like their lengths, but each note lasts one beat.",
		Hint:    "Write Spacing: rhythm above the first line of tab.",
		Edits:   func(e *diag.Editor) { e.Header("Spacing: rhythm") },
	}, true
}

// columns is where a row has its notes and bar lines.
func (p *Page) columns(r *row) spacing.Row {
	line := p.text[r.span.Start:r.span.End]
	var starts, bars []int
	end := 0
	for _, a := range r.atoms {
		starts, end = append(starts, a.span.Start-r.span.Start), a.span.End-r.span.Start
	}
	for _, b := range r.bars {
		bars, end = append(bars, b.Start-r.span.Start), max(end, b.End-r.span.Start)
	}
	return spacing.Row{
		Starts: spacing.Columns(line, starts), Bars: spacing.Columns(line, bars), End: spacing.Columns(line, []int{end})[0],
	}
}

// overWords says that most notes stand over the beginning of a word, so that the words
// make the gaps.
func (p *Page) overWords() bool {
	over, notes := 0, 0
	for _, r := range p.rows {
		if r.line >= len(p.doc.Lines) || p.doc.Lines[r.line].Kind != tab.TextLine {
			continue
		}
		words := wordStarts(p.doc.Lines[r.line].Text)
		for _, column := range p.columns(r).Starts {
			notes++
			if slices.Contains(words, column) {
				over++
			}
		}
	}
	return 2*over > notes
}

// wordStarts are the columns at which words, or syllables behind a hyphen and blanks,
// begin.
func wordStarts(line string) []int {
	var offsets []int
	blank := true
	for i, c := range line {
		if isBlank := c == ' ' || c == '\t'; isBlank != blank {
			blank = isBlank
			if !blank {
				offsets = append(offsets, i)
			}
		}
	}
	return spacing.Columns(line, offsets)
}

// WithoutSpacing is a page whose blanks show its rhythm with that rhythm written out
// and without the header that says so, to be printed in any way; false where it cannot
// be.
func (p *Page) WithoutSpacing(read func(text string) *tab.Document) (string, bool) {
	i := slices.IndexFunc(p.doc.Lines, func(l tab.Line) bool {
		return l.Kind == tab.HeaderLine && strings.HasPrefix(strings.ToLower(strings.TrimSpace(l.Text)), "spacing")
	})
	if i < 0 || i+1 == len(p.doc.Lines) {
		return "", false
	}
	bare := p.text[:p.doc.Lines[i].Span.Start] + p.text[p.doc.Lines[i+1].Span.Start:]
	doc := read(bare)
	if doc.Problems.Has(diag.Error) {
		return "", false
	}
	page := Read(doc, bare)
	if len(page.Notes) != len(p.Notes) {
		return "", false
	}
	text, left := page.Write(p.asWritten(), read)
	return text, len(left) == 0
}

// asWritten is the rhythm that the page has.
func (p *Page) asWritten() Plan {
	plan := Plan{Metre: p.doc.Metre, Swing: p.doc.Head.Swing, Notes: make([]Length, len(p.Notes))}
	piece := p.doc.Unfold()
	for _, play := range slices.Backward(p.Plays) {
		e := piece.Events[play.Event]
		n := Length{At: e.Start.Minus(piece.Pickup).Plus(piece.Bar.Times(2)), Beats: e.Beats}
		for _, after := range piece.Events[play.Event+1:] {
			if after.Note != nil {
				break
			}
			n.Rest = n.Rest.Plus(after.Beats)
		}
		plan.Notes[play.Note] = n
	}
	return plan
}
