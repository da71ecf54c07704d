package tab

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"reedlark/tab/lexicon"
	"reedlark/tab/notes"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// rereadings is how often a printed page is read again to see that its lines
// are still what they were.
const rereadings = 4

// Print writes the page in a convention; Auto keeps its own. Lines, text and
// comments stay as typed, and what is written in canonical spellings comes back
// byte for byte. Reading the answer gives the same piece, but for the rhythm of a page
// that shows it by its blanks, where those have no room for the new spelling.
func (d *Document) Print(to Convention) string {
	if d.unread {
		return d.text
	}
	if to == "" || to == Auto {
		to = d.Convention
	}
	if !printable(to) {
		return d.text // in a dialect of its own, as typed
	}
	heads := make([]string, len(d.Lines))
	if d.respelled {
		d.hush(heads, false)
	}
	lead := "" // a header that the printed page needs
	for range rereadings {
		printed := Parse(d.leading(lead, d.printWith(to, heads)), Options{})
		grouped := lead == "" && printed.Dialect.Bracketed == tree.BracketedTogether && d.Dialect.Bracketed != tree.BracketedTogether
		if grouped {
			lead = "Bracketed: optional" + d.newline()
			continue
		}
		if !d.correct(heads, printed, strings.Count(lead, ":")) {
			break
		}
	}
	return d.leading(lead, d.printWith(to, heads))
}

// leading puts a header line before a printed page, behind its byte-order mark.
func (d *Document) leading(line, page string) string {
	mark := d.Lines[0].Span.Start
	return page[:mark] + line + page[mark:]
}

// newline is how the page ends its lines.
func (d *Document) newline() string {
	if end := d.lineEnd(0); end != "" {
		return end
	}
	return "\n"
}

// correct compares the lines of a printed page with those it was printed from,
// and heads those that changed their kind with tab: or text:. The printed page
// has some lines more at its head.
func (d *Document) correct(heads []string, printed *Document, more int) (changed bool) {
	other := !alike(d.piece, printed.piece)
	if other {
		changed = d.hush(heads, true)
	}
	at := more - 1 // the line of the printed page
	for i, l := range d.Lines {
		if d.is(i, dropped) {
			continue
		}
		at++
		if other && heads[i] == "" && l.Kind == TextLine && (printed.is(at, legend) || printed.is(at, dropped)) {
			heads[i], changed = "text: ", true // it explains what only the printed page writes
			continue
		}
		voted := other && l.Kind == TextLine && strings.ContainsAny(l.Text, "0123456789") && !forcedText(l.Text)
		if at >= len(printed.Lines) || printed.Lines[at].Kind == l.Kind && !voted || heads[i] != "" {
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

// forcedText reports whether a line says already that it is words.
func forcedText(line string) bool {
	return strings.HasPrefix(strings.ToLower(strings.TrimSpace(line)), "text:")
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
		if d.is(i, dropped) {
			continue
		}
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
	column    int // characters written, a word that was added left out
	before    *notes.Item
	fits      bool
	respelled bool // the item before is a note in another spelling than it was typed in
}

// printRow writes one line of tab. Blanks stay as typed, which brings the line back
// byte for byte when it is printed in its old convention again; a line that is
// laid out over words keeps the notes above them, where they fit.
func (d *Document) printRow(r *notes.Row, to Convention, head string) string {
	anchors := d.anchors(r)
	out, fits := d.layOut(r, to, head, anchors)
	if !fits {
		out, _ = d.layOut(r, to, head, nil)
	}
	return out
}

// layOut writes a line of tab with the notes at anchors in their columns. It does
// not fit where one would touch the note before it.
func (d *Document) layOut(r *notes.Row, to Convention, head string, anchors map[int]bool) (out string, fits bool) {
	if r.Line.Joined != nil {
		return d.joined(r, to, head), true
	}
	p := &printer{fits: true}
	at, column := max(r.Line.Span.Start, r.Line.Label), 0 // how far the row as typed was written, bytes and characters
	for i := range r.Items {
		it := &r.Items[i]
		if p.respelled && saysHow(it, d.text) {
			column += utf8.RuneCountInString(d.text[at:it.Span.End])
			at = it.Span.End
			continue
		}
		typed, wrote := d.text[at:it.Span.Start], spell(it, r, to, d.text)
		column += utf8.RuneCountInString(typed)
		if loneHole(r, it, wrote) {
			wrote = "+" + wrote
		}
		switch {
		case i == 0:
			p.head(typed, head, r)
		case p.before.To < it.From && typed == "": // a remark was left out
			p.put(" ")
		case p.before.To < it.From:
			p.gap(typed, column, anchors[column])
		case needsBlank(p.before, it, wrote, to):
			p.put(" ")
		}
		p.put(wrote)
		p.respelled = it.Kind == scan.Note && wrote != d.text[it.Span.Start:it.Span.End]
		column += utf8.RuneCountInString(d.text[it.Span.Start:it.Span.End])
		p.before, at = it, it.Span.End
	}
	p.put(d.text[at:r.Line.Span.End])
	return p.String(), p.fits
}

// saysHow reports whether a remark would be read as the breath or the technique
// of a note before it that is spelled anew: 4B [B] in letters is 4 [B] in signs.
func saysHow(it *notes.Item, text string) bool {
	if it.Kind != scan.Remark && it.Kind != scan.Name {
		return false
	}
	inner := strings.Trim(text[it.Span.Start:it.Span.End], "()[] ")
	if len([]rune(inner)) == 1 {
		return true
	}
	for _, s := range lexicon.Senses(inner) {
		if s.Meaning <= lexicon.Whole {
			return true
		}
	}
	return false
}

// loneHole reports whether a note would be a bare number alone behind a name,
// which is read as words unless the name is that of a part.
func loneHole(r *notes.Row, it *notes.Item, wrote string) bool {
	return r.Line.Named[1] > 0 && len(r.Items) == 2 && it.Kind == scan.Note && !it.Written.Plain() && strings.Trim(wrote, "0123456789") == ""
}

// joined writes a row whose notes stand on two lines as one line.
func (d *Document) joined(r *notes.Row, to Convention, head string) string {
	var b strings.Builder
	for i := range r.Items {
		it := &r.Items[i]
		wrote := spell(it, r, to, d.text)
		if i > 0 && (!it.Adjacent || needsBlank(&r.Items[i-1], it, wrote, to)) {
			b.WriteString(" ")
		}
		b.WriteString(wrote)
	}
	return head + b.String()
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

// gap writes the blanks between two items: those that were typed, or as many as
// bring an anchored item to its column.
func (p *printer) gap(typed string, column int, anchored bool) {
	need := column - p.column
	if !anchored || need == utf8.RuneCountInString(typed) {
		p.put(typed)
		return
	}
	p.fits = p.fits && need > 0
	p.put(strings.Repeat(" ", max(need, 1)))
}

// anchors are the columns of notes, in characters from 0, that words stand under,
// or else above. A line has some only where it is laid out for that: each word has
// its note, and not all gaps are one blank. Tab characters lay out by themselves.
// Where blanks show the rhythm, all of them stay.
func (d *Document) anchors(r *notes.Row) map[int]bool {
	columns, spread := map[int]bool{}, false
	for i := range r.Items {
		start := r.Items[i].Span.Start
		_, column := d.Source.Position(start)
		columns[column-1] = true
		spread = spread || i > 0 && strings.HasSuffix(d.text[:start], "  ")
	}
	if !spread || strings.Contains(d.text[r.Line.Span.Start:r.Line.Span.End], "\t") {
		return nil
	}
	if d.Head.Spaced {
		return columns
	}
	for _, i := range []int{r.Line.Number, r.Line.Number - 2} { // lines count from 1
		if i >= 0 && i < len(d.Lines) && d.Lines[i].Kind == TextLine {
			if words := wordColumns(d.Lines[i].Text); len(words) > 1 && within(words, columns) {
				return words
			}
		}
	}
	return nil
}

// wordColumns are where the words of a line begin.
func wordColumns(text string) map[int]bool {
	out := map[int]bool{}
	column, blank := 0, true
	for _, r := range text {
		if blank && !unicode.IsSpace(r) {
			out[column] = true
		}
		blank = unicode.IsSpace(r)
		column++
	}
	return out
}

// within reports whether every member of a set is in the other.
func within(set, other map[int]bool) bool {
	for v := range set {
		if !other[v] {
			return false
		}
	}
	return true
}
