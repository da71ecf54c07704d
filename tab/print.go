package tab

import (
	"strings"
	"unicode/utf8"

	"reedlark/tab/notes"
)

// rereadings is how often a printed page is read again to see that its lines
// are still what they were.
const rereadings = 4

// Print writes the page in a convention; Auto keeps its own. Lines, text and
// comments stay as typed, and what is written in canonical spellings comes back
// byte for byte. Reading the answer gives the same piece.
func (d *Document) Print(to Convention) string {
	if d.unread {
		return d.text
	}
	if to == "" || to == Auto {
		to = d.Convention
	}
	heads := make([]string, len(d.Lines))
	out := d.printWith(to, heads)
	for range rereadings {
		if !d.correct(heads, Parse(out, Options{})) {
			break
		}
		out = d.printWith(to, heads)
	}
	return out
}

// correct compares the lines of a printed page with those it was printed from,
// and heads those that changed their kind with tab: or text:.
func (d *Document) correct(heads []string, printed *Document) (changed bool) {
	for i, l := range d.Lines {
		if i >= len(printed.Lines) || printed.Lines[i].Kind == l.Kind || heads[i] != "" {
			continue
		}
		switch l.Kind {
		case TabLine:
			heads[i] = "tab: "
		case TextLine:
			heads[i] = "text: "
		}
		changed = changed || heads[i] != ""
	}
	return changed
}

// printWith writes the page, with words before the lines that need one.
func (d *Document) printWith(to Convention, heads []string) string {
	rows := map[int]*notes.Row{}
	for _, r := range d.rows {
		rows[r.Line.Number] = r
	}
	var b strings.Builder
	b.WriteString(d.text[:d.Lines[0].Span.Start]) // a byte-order mark
	for i, l := range d.Lines {
		if r := rows[l.Number]; r != nil && r.Line.Kind == TabLine {
			b.WriteString(d.printRow(r, to, heads[i]))
		} else {
			b.WriteString(heads[i] + l.Text)
		}
		b.WriteString(d.lineEnd(i))
	}
	return b.String()
}

// lineEnd is what ends a line, as typed.
func (d *Document) lineEnd(i int) string {
	end := len(d.text)
	if i+1 < len(d.Lines) {
		end = d.Lines[i+1].Span.Start
	}
	return d.text[d.Lines[i].Span.End:end]
}

// printer writes one row.
type printer struct {
	strings.Builder
	column int // characters written, a word that was added left out
	before *notes.Item
}

// printRow writes one line of tab.
func (d *Document) printRow(r *notes.Row, to Convention, head string) string {
	p := &printer{}
	at, column := r.Line.Span.Start, 0 // how far the row as typed was written, bytes and characters
	for i := range r.Items {
		it := &r.Items[i]
		typed, wrote := d.text[at:it.Span.Start], spell(it, r, to, d.text)
		column += utf8.RuneCountInString(typed)
		switch {
		case i == 0:
			p.head(typed, head, r)
		case p.before.To < it.From:
			p.gap(typed, column)
		case needsBlank(p.before, it, wrote, to):
			p.put(" ")
		}
		p.put(wrote)
		column += utf8.RuneCountInString(d.text[it.Span.Start:it.Span.End])
		p.before, at = it, it.Span.End
	}
	p.put(d.text[at:r.Line.Span.End])
	return p.String()
}

func (p *printer) put(s string) {
	p.WriteString(s)
	p.column += utf8.RuneCountInString(s)
}

// head writes what stands before the first item. A word that is added goes
// after the numbering of the line, and moves all columns alike.
func (p *printer) head(typed, head string, r *notes.Row) {
	numbering := 0
	if head != "" && r.Line.Listed > 0 {
		numbering = r.Line.Cells[r.Line.Listed-1].Span().End - r.Line.Span.Start
		head = " " + head
	}
	p.WriteString(typed[:numbering] + head + typed[numbering:])
	p.column = utf8.RuneCountInString(typed)
}

// gap writes the blanks between two items: those that were typed, or as many
// as bring the next item to its column, and one at least.
func (p *printer) gap(typed string, column int) {
	if p.column+utf8.RuneCountInString(typed) == column {
		p.put(typed)
		return
	}
	p.put(strings.Repeat(" ", max(column-p.column, 1)))
}
