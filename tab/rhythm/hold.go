package rhythm

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"reedlark/tab/beat"
)

// writer writes one row anew: what it had is copied up to some place, without its
// hold marks and braces, and new ones are put in between.
type writer struct {
	*row
	text   string
	mark   string // that holds a note
	at     int    // up to where the row is copied
	struck int    // marks of the row that were left out, or passed
	out    counted
	loose  bool // what was written last wants a blank before what comes next
	bare   bool // the last thing is a note or its hold marks: a mark may be glued to it
}

// held is a row in hold marks and braces.
func (p *Page) held(l *line, bar beat.Time, mark string) (string, error) {
	if l.split {
		return "", errDivided
	}
	groups, err := byBeat(l.pieces(bar))
	if err != nil {
		return "", err
	}
	w := &writer{row: l.row, text: p.text, mark: mark, at: l.span.Start}
	for _, g := range groups {
		switch {
		case g[0].isBar:
			w.copyTo(g[0].bar.End)
			w.bare = false
		case len(g) == 1:
			w.put(g[0])
		default:
			w.brace(g)
		}
	}
	w.copyTo(l.span.End)
	return w.out.String(), nil
}

// put writes a piece: a note that is there, a new rest, or a hold mark.
func (w *writer) put(p piece) {
	switch {
	case p.held && w.bare:
		w.out.WriteString(w.mark)
		w.loose = true
	case p.held:
		w.insert(w.mark)
	case p.rest:
		w.insert("r")
		w.bare = true
	default:
		w.copyTo(w.atoms[p.atom].span.End)
		w.bare = true
	}
}

// brace writes the pieces that share a beat.
func (w *writer) brace(group []piece) {
	from, to := w.around(group)
	if group[0].held || group[0].rest {
		w.insert("{")
	} else {
		w.copyTo(from)
		w.out.WriteString("{")
	}
	w.loose, w.bare = false, false
	shares := weights(group)
	for i, p := range group {
		w.put(p)
		w.out.WriteString(strings.Repeat(w.mark, shares[i]-1))
		w.loose = w.loose || shares[i] > 1
	}
	w.copyTo(to)
	w.out.WriteString("}")
	w.loose, w.bare = true, false
}

// around is where a brace opens and closes: outside the brackets that are in it.
func (w *writer) around(group []piece) (from, to int) {
	first, last := -1, -1
	for _, p := range group {
		if p.atom >= 0 && !p.held {
			if first < 0 {
				first = p.atom
			}
			last = p.atom
		}
	}
	if first < 0 {
		return w.at, w.at
	}
	low, high := w.span.Start, w.span.End
	if first > 0 {
		low = w.atoms[first-1].span.End
	}
	if last+1 < len(w.atoms) {
		high = w.atoms[last+1].lead
	}
	from, to = w.atoms[first].lead, w.atoms[last].span.End
	for _, b := range w.pairs {
		if b.Start >= low && b.End <= high {
			from, to = min(from, b.Start), max(to, b.End)
		}
	}
	return from, to
}

// insert writes a word of its own.
func (w *writer) insert(word string) {
	if s := w.out.String(); s != "" && !strings.HasSuffix(s, " ") && !strings.HasSuffix(s, "{") {
		w.out.WriteString(" ")
	}
	w.out.WriteString(word)
	w.loose, w.bare = true, false
}

// copyTo copies what the row has up to a place.
func (w *writer) copyTo(end int) {
	for ; w.struck < len(w.strike) && w.strike[w.struck].End <= end; w.struck++ {
		if s := w.strike[w.struck]; s.Start >= w.at {
			w.copy(s.Start)
			w.at = s.End
			w.closeUp()
		}
	}
	w.copy(end)
}

func (w *writer) copy(end int) {
	if end <= w.at {
		return
	}
	part := w.text[w.at:end]
	if c, _ := sign(part); w.loose && !unicode.IsSpace(c) && !strings.ContainsRune(")],|:}", c) {
		w.out.WriteString(" ")
	}
	w.out.WriteString(part)
	w.at = end
	w.loose, w.bare = false, false
}

// closeUp drops the blank that a word leaves which was taken out.
func (w *writer) closeUp() {
	s := w.out.String()
	if w.at < w.span.End && w.text[w.at] == ' ' && (s == "" || strings.HasSuffix(s, " ")) {
		w.at++
	}
}

// plain is a row without hold marks and braces, with its new rests, and the column
// of each item, from 0.
func (p *Page) plain(l *line) (text string, columns []int) {
	w := &writer{row: l.row, text: p.text, at: l.span.Start}
	for _, it := range l.items {
		long := 1
		if it.atom < 0 {
			w.insert("r")
		} else {
			span := w.atoms[it.atom].span
			w.copyTo(span.End)
			long = utf8.RuneCountInString(p.text[span.Start:span.End])
		}
		columns = append(columns, w.out.characters-long)
	}
	w.copyTo(l.span.End)
	return w.out.String(), columns
}
