package rhythm

import (
	"slices"
	"strconv"
	"strings"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// way is how a row is written.
type way int

const (
	byHold way = iota
	byCount
	asItWas
)

// Write is the page with the rhythm of a plan, and the lines of tab, from 1, whose
// rhythm cannot be written; those stay as they were. A new page is read with read.
func (p *Page) Write(plan Plan, read func(text string) *tab.Document) (text string, left []int) {
	lines := p.lines(plan)
	ways := make([]way, len(lines))
	tried := make([]int, len(lines))
	if p.counts() {
		for i := range ways {
			ways[i] = byCount
		}
	}
	for {
		text, failed := p.render(lines, ways, plan)
		if len(failed) == 0 {
			failed = p.wrong(lines, ways, text, read)
		}
		if len(failed) == 0 {
			return text, p.unwritten(lines, ways)
		}
		for _, i := range failed {
			tried[i]++
			switch {
			case tried[i] > 1:
				ways[i] = asItWas
			case ways[i] == byHold:
				ways[i] = byCount
			default:
				ways[i] = byHold
			}
		}
	}
}

// counts says that the page has count rows.
func (p *Page) counts() bool {
	return slices.ContainsFunc(p.rows, func(r *row) bool { return r.count != nil })
}

func (p *Page) unwritten(lines []*line, ways []way) (out []int) {
	for i, l := range lines {
		if ways[i] == asItWas {
			out = append(out, l.line)
		}
	}
	return out
}

// render writes the page; failed are the lines that cannot be written their way.
func (p *Page) render(lines []*line, ways []way, plan Plan) (text string, failed []int) {
	bar := beat.Whole(plan.Metre.Beats)
	var changes []diag.Change
	counted := false
	for i, l := range lines {
		switch ways[i] {
		case byHold:
			row, err := p.held(l, bar, p.mark())
			if err != nil {
				failed = append(failed, i)
				continue
			}
			changes = append(changes, diag.Change{Span: l.span, Text: row})
			if l.count != nil {
				changes = append(changes, p.without(l.count))
			}
		case byCount:
			more, ok := p.counted(l, bar)
			if !ok {
				failed = append(failed, i)
				continue
			}
			changes = append(changes, more...)
			counted = true
		}
	}
	changes = append(p.headers(plan, counted), changes...)
	text, _ = diag.Apply(p.text, diag.Edit{Changes: changes})
	return text, failed
}

// counted is a row with a count row below it.
func (p *Page) counted(l *line, bar beat.Time) ([]diag.Change, bool) {
	if bar.Sign() == 0 {
		return nil, false
	}
	row, columns := p.plain(l)
	head := "count:"
	if l.count != nil {
		head = l.count.Text[:strings.Index(l.count.Text, ":")+1]
	}
	counts, ok := l.counts(bar, head, columns)
	if l.count != nil {
		return []diag.Change{{Span: l.span, Text: row}, {Span: l.count.Span, Text: counts}}, ok
	}
	return []diag.Change{{Span: l.span, Text: row + p.lineEnd() + counts}}, ok
}

// without takes a line out.
func (p *Page) without(l *tab.Line) diag.Change {
	at := l.Span
	if l.Number > 1 {
		at.Start = p.doc.Lines[l.Number-2].Span.End
	}
	return diag.Change{Span: at}
}

// headers are the header lines without which the page would be misread.
func (p *Page) headers(plan Plan, counted bool) (out []diag.Change) {
	text := ""
	if counted && p.doc.Head.Metre.Beats == 0 {
		text += "Metre: " + plan.Metre.String() + p.lineEnd()
	}
	if plan.Swing > .5 && p.doc.Head.Swing == 0 {
		text += "Swing: " + strconv.FormatFloat(plan.Swing, 'f', 2, 64) + p.lineEnd()
	}
	if text == "" {
		return nil
	}
	at := p.doc.Source.Headers
	return []diag.Change{{Span: diag.Span{Start: at, End: at}, Text: text}}
}

// lineEnd is what ends the lines of the page.
func (p *Page) lineEnd() string {
	if first := p.doc.Lines[0].Span.End; first < len(p.text) && len(p.doc.Lines) > 1 {
		return p.text[first:p.doc.Lines[1].Span.Start]
	}
	return "\n"
}

// mark is the hold mark the page uses most, else a dash.
func (p *Page) mark() string {
	const usual = "-"
	found := map[string]int{}
	for _, r := range p.rows {
		for _, s := range r.strike {
			for _, c := range p.text[s.Start:s.End] {
				if c != '{' && c != '}' && c != '…' {
					found[string(c)]++
				}
			}
		}
	}
	best := usual
	for _, c := range strings.Split(holdMarks, "") {
		if found[c] > found[best] {
			best = c
		}
	}
	return best
}

// wrong reads the page again and lists the lines that do not say what they should.
func (p *Page) wrong(lines []*line, ways []way, text string, read func(string) *tab.Document) (failed []int) {
	doc := read(text)
	rows := tabRows(doc)
	if errorsOf(doc) > errorsOf(p.doc) || doc.Unfold() == nil {
		return p.blame(lines, ways, doc, rows)
	}
	again := Read(doc, text)
	for i, l := range lines {
		if ways[i] != asItWas && (len(again.Notes) != len(p.Notes) || !again.says(l, slices.Index(p.rows, l.row))) {
			failed = append(failed, i)
		}
	}
	return failed
}

// errorsOf counts the errors of a page. One that is played as far as it can be read has
// some from the start.
func errorsOf(doc *tab.Document) (n int) {
	for _, d := range doc.Problems {
		if d.Severity == diag.Error {
			n++
		}
	}
	return n
}

// tabRows are the numbers of the lines of tab.
func tabRows(doc *tab.Document) (out []int) {
	for _, l := range doc.Lines {
		if l.Kind == tab.TabLine {
			out = append(out, l.Number)
		}
	}
	return out
}

// blame lists the lines that are at fault for the errors of a new page: those that
// have one, else all.
func (p *Page) blame(lines []*line, ways []way, doc *tab.Document, rows []int) (failed []int) {
	bad := map[int]bool{}
	for _, d := range doc.Problems {
		if line, _ := doc.Source.Position(d.Span.Start); d.Severity == diag.Error {
			for k, n := range rows {
				if n <= line && (k+1 == len(rows) || line < rows[k+1]) {
					bad[k] = true
				}
			}
		}
	}
	old := tabRows(p.doc)
	var all []int
	for i, l := range lines {
		if ways[i] == asItWas {
			continue
		}
		all = append(all, i)
		if bad[slices.Index(old, l.line)] {
			failed = append(failed, i)
		}
	}
	if len(failed) == 0 {
		return all
	}
	return failed
}

// says reports whether the notes and rests of a row, the k-th, last as long as they
// should, with no other silence between them.
func (p *Page) says(l *line, k int) bool {
	if k >= len(p.rows) {
		return false
	}
	atoms := p.rows[k].atoms
	if len(atoms) == len(l.items)+1 && atoms[0].note < 0 && atoms[0].beats == l.start.Mod(beat.Whole(1)) {
		atoms = atoms[1:] // the rest that fills the beat before the first note
	}
	if len(atoms) != len(l.items) {
		return false
	}
	for i, it := range l.items {
		if a := atoms[i]; a.beats != it.beats || a.waits || (a.note < 0) != (it.atom < 0 || l.atoms[it.atom].note < 0) {
			return false
		}
	}
	return true
}
