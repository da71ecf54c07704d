package scan

import (
	"slices"
	"strings"

	"reedlark/tab/diag"
	"reedlark/tab/lexicon"
	"reedlark/tab/tree"
)

// row is a line of a pair that is read together.
type row struct {
	letter rune  // the breath of every note, from the word that heads the line
	signs  *Line // the row of signs for its holes; nil for none
	mate   *Line // the row of the other breath, whose notes stand between; nil for none
}

// breathLabel reads a breath word and a colon at the head of a line.
func (l *Line) breathLabel() (letter rune, body int) {
	from, end := readName(l.Cells, l.Listed)
	if end == 0 {
		return 0, 0
	}
	word := strings.TrimRight(l.Cells[from:end].Text(), ":")
	m, _, _ := lexicon.Breath(word)
	switch {
	case m == lexicon.Blow:
		return 'B', end
	case m == lexicon.Draw:
		return 'D', end
	}
	return 0, 0
}

// findRows finds the rows that a breath word heads, and those with a row of
// signs beside them.
func (p *reader) findRows(a *answers) {
	rows := map[*Line]*row{}
	for i, l := range p.Lines {
		if l.Kind != tree.TabLine && l.Kind != tree.TextLine || l.forced() || l.legend || !l.Cells.numbered(l.Body) {
			continue
		}
		letter, body := l.breathLabel()
		if letter == 0 || !holesLead(l.tokens(nil, body)) {
			continue
		}
		l.Body, l.Label, l.Named = body, int(l.Cells[body-1].end), [2]int{}
		rows[l] = &row{letter: letter}
		if i > 0 {
			if before := rows[p.Lines[i-1]]; before != nil && before.mate == nil && before.letter != letter && (spread(p.Lines[i-1]) || spread(l)) && !meets(p.Lines[i-1], l) {
				before.mate = l
				rows[l].mate = l // it is the mate of another
			}
		}
	}
	p.findSignRows(a, rows)
	if len(rows) > 0 {
		a.rows = rows
		a.reason(tree.BecauseNotes, 0)
	}
}

// rowsConvention is what rows that are read with others are called.
func (a *answers) rowsConvention() tree.Convention {
	for _, r := range a.rows {
		if r.signs != nil {
			return tree.Marks
		}
	}
	return tree.Words
}

// spread reports whether a row is laid out by columns: two blanks or more stand
// before one of its notes.
func spread(l *Line) bool {
	for _, t := range l.tokens(nil, l.Body) {
		if t.kind == holeToken && t.from > 1 && l.Cells[t.from-1].R == Blank && l.Cells[t.from-2].R == Blank {
			return true
		}
	}
	return false
}

// meets reports whether a note of one row stands over a note of the other.
func meets(x, y *Line) bool {
	over := map[int]bool{}
	for _, t := range x.tokens(nil, x.Body) {
		for i := t.from; t.kind == holeToken && i < t.to; i++ {
			over[i] = true
		}
	}
	for _, t := range y.tokens(nil, y.Body) {
		for i := t.from; t.kind == holeToken && i < t.to; i++ {
			if over[i] {
				return true
			}
		}
	}
	return false
}

// findSignRows pairs the rows of signs of the page with the rows of holes they
// stand above or below: above where the first of the two is a row of signs.
func (p *reader) findSignRows(a *answers, rows map[*Line]*row) {
	for _, step := range []int{1, -1} {
		pairs, ok := map[*Line]*Line{}, true
		for i, l := range p.Lines {
			signs := a.signsOf(l)
			if signs == nil {
				continue
			}
			k := i + step
			if k < 0 || k >= len(p.Lines) || rows[p.Lines[k]] != nil || pairs[p.Lines[k]] != nil || p.Lines[k].bareHoles() != len(signs) {
				ok = false
				break
			}
			pairs[p.Lines[k]] = l
		}
		if !ok || !differ(a, pairs) {
			continue
		}
		for holes, signs := range pairs {
			rows[holes] = &row{signs: signs}
		}
		return
	}
}

// differ reports whether the rows of signs have both breaths among them.
func differ(a *answers, pairs map[*Line]*Line) bool {
	seen := map[rune]bool{}
	for _, l := range pairs {
		for _, letter := range a.signsOf(l) {
			seen[letter] = true
		}
	}
	return len(seen) == 2
}

// signsOf are the breaths of a line of nothing but signs and bar lines, two or
// more; nil for any other line.
func (a *answers) signsOf(l *Line) []rune {
	if l.legend || l.forced() || l.blank() || l.Cells.numbered(0) || isRuled(l.Cells) {
		return nil
	}
	var out []rune
	for word := range strings.FieldsSeq(l.Cells.Text()) {
		if strings.Trim(word, "|") == "" {
			continue
		}
		m, ok := a.find(affix{after: word})
		if !ok {
			m, ok = a.find(affix{before: word})
		}
		s := m.says
		if !ok {
			s = affix{before: word}.usual()
		}
		if s.letter() == 0 {
			return nil
		}
		out = append(out, s.letter())
	}
	if len(out) < 2 {
		return nil
	}
	return out
}

// bareHoles counts the holes of a line on which nothing else stands.
func (l *Line) bareHoles() int {
	if !l.Cells.numbered(l.Body) || l.legend {
		return 0
	}
	n := 0
	for _, t := range l.tokens(nil, l.Body) {
		switch {
		case t.kind == holeToken && t.from == t.number:
			n++
		case t.kind != neutralToken && t.kind != commaToken:
			return 0
		}
	}
	return n
}

// respellRows respells the rows that a label or a row of signs gives a breath.
func (p *reader) respellRows(a *answers) {
	var room []token
	for _, l := range p.Lines {
		r := a.rows[l]
		if r == nil || r.mate == l {
			continue
		}
		cells := a.respellRow(l, r, room)
		if r.mate != nil {
			other := a.respellRow(r.mate, a.rows[r.mate], room)
			cells = mergeRows(cells, other, l.Body, r.mate.Body)
			l.Joined = r.mate
			r.mate.give()
		}
		if r.signs != nil {
			r.signs.give()
		}
		body, label := l.Body, l.Label
		l.respelled(cells)
		l.Body, l.Label, l.Kind = body, label, tree.TabLine
		l.lex(nil, body)
		l.votes = tally(l.first, l.Cells)
		l.spelled = true
	}
}

// give leaves the notes or signs of a line to the row beside it.
func (l *Line) give() {
	l.Kind, l.first, l.votes, l.given = tree.TextLine, nil, votes{}, true
}

// respellRow respells one row.
func (a *answers) respellRow(l *Line, r *row, room []token) Cells {
	s := &respeller{answers: a, cells: l.Cells, tokens: l.tokens(room, l.Body), used: -1, force: r.letter}
	if r.signs != nil {
		s.each = a.signsOf(r.signs)
	}
	s.out = append(make(Cells, 0, 2*len(l.Cells)), l.Cells[:l.Body]...)
	s.items(0, len(s.tokens), l.Body, len(l.Cells))
	return s.out
}

// column is a run of cells without a blank, and the column it stands in.
type column struct {
	at    int
	cells Cells
}

// columns cuts the cells of a row at blanks. The letters that were added take
// no column.
func (c Cells) columns(from int) (out []column) {
	at := from
	for i := from; i < len(c); {
		if c[i].R == Blank {
			i, at = i+1, at+1
			continue
		}
		end, width := i, 0
		for ; end < len(c) && c[end].R != Blank; end++ {
			if c[end].at != c[end].end {
				width++
			}
		}
		out = append(out, column{at, c[i:end]})
		i, at = end, at+width
	}
	return out
}

// mergeRows puts the notes of two rows in the order of their columns. The bar
// lines of the second are left out.
func mergeRows(x, y Cells, fromX, fromY int) Cells {
	all := x.columns(fromX)
	for _, c := range y.columns(fromY) {
		if strings.Trim(c.cells.Text(), "|:") != "" {
			all = append(all, c)
		}
	}
	slices.SortStableFunc(all, func(a, b column) int { return a.at - b.at })
	out := slices.Clone(x[:fromX])
	for i, c := range all {
		if i > 0 {
			last := out[len(out)-1].end
			out = append(out, Cell{Blank, last, last})
		}
		out = append(out, c.cells...)
	}
	return out
}

// place notes which items of a joined row were typed on the line below.
func (l *Line) place(items []Item) {
	for i := range items {
		if at := items[i].Span.Start; at < l.Span.Start || at > l.Span.End {
			items[i].Below = true
		}
	}
}

// askRows warns of a row that may belong to the one beside it: dashes or one
// letter alone, or holes that stand between those of the row above.
func (p *reader) askRows(a *answers, u *usage) {
	if a.rows != nil || a.settled(saysHold) {
		return
	}
	for i := 1; i < len(p.Lines); i++ {
		upper, lower := p.Lines[i-1], p.Lines[i]
		switch {
		case lower.oneSign() && upper.bareHoles() > 1:
			p.askSigns(i, upper, lower)
		case u.usuals(saysDraw) == 0 && !a.breathed() && upper.bareHoles() > 2 && lower.bareHoles() > 0 && between(upper, lower):
			p.askBetween(upper, lower)
		default:
			continue
		}
		return
	}
}

// oneSign reports whether a line is made of one sign, apart, indented or not,
// and nothing else.
func (l *Line) oneSign() bool {
	if l.legend || l.forced() || l.blank() || isRuled(l.Cells) && !strings.Contains(l.Cells.Trimmed().Text(), "  ") {
		return false
	}
	words := strings.Fields(l.Cells.Text())
	if len(words) == 0 { // control characters that count as blanks
		return false
	}
	for _, w := range words {
		if w != words[0] || len([]rune(w)) != 1 {
			return false
		}
	}
	first := words[0]
	return first == "-" || first == "_" || len(words) > 1 && strings.ContainsAny(first, "+^vDdBb")
}

// over pairs the signs of a row with the holes above them, where each has one at
// most a column away.
func over(upper, lower *Line) (holes []int, ok bool) {
	tokens := upper.tokens(nil, upper.Body)
	k := 0
	for i := lower.At(); i < len(lower.Cells); i++ {
		if lower.Cells[i].R == Blank {
			continue
		}
		for k < len(tokens) && (tokens[k].kind != holeToken || tokens[k].to < i) {
			k++
		}
		if k == len(tokens) || tokens[k].from > i+1 {
			return nil, false
		}
		holes = append(holes, tokens[k].number)
		k++
	}
	return holes, true
}

// askSigns is the question about a row of one sign under a row of holes.
func (p *reader) askSigns(i int, upper, lower *Line) {
	if _, ok := over(upper, lower); !ok {
		return
	}
	word := lower.Cells.Trimmed()[:1].Text()
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.SignRow, Span: lower.Cells.Span(lower.At(), lower.At()+len(lower.Cells.Trimmed())),
		Values:  diag.Values{diag.Text("sign", word), diag.Number("line", upper.Number)},
		Message: "This row of {sign} may say which holes of line {line} are drawn; it is not read so.",
		Hint:    "Write a - before each hole that is drawn, or Holds: {sign} at the top of the page.",
		Edits: func(e *diag.Editor) {
			if changes := p.drawAbove(i); changes != nil {
				e.Offer("Draw the holes above them", changes...).ForPage()
			}
			e.Header("Holds: " + word).Keep().ForPage()
		},
	})
}

// drawAbove writes a - before each hole with a sign under it, and takes the rows
// of signs out, from a line on.
func (p *reader) drawAbove(from int) (changes []diag.Change) {
	for i := from; i < len(p.Lines); i++ {
		upper, lower := p.Lines[i-1], p.Lines[i]
		if !lower.oneSign() || upper.bareHoles() < 2 {
			continue
		}
		holes, ok := over(upper, lower)
		if !ok {
			return nil
		}
		for _, h := range holes {
			at := upper.Cells[h].Span().Start
			changes = append(changes, diag.Change{Span: diag.Span{Start: at, End: at}, Text: "-"})
		}
		changes = append(changes, diag.Change{Span: diag.Span{Start: upper.Span.End, End: lower.Span.End}})
	}
	return changes
}

// between reports whether the holes of the lower row all stand in gaps of the
// upper one, and at least one inside it.
func between(upper, lower *Line) bool {
	return lower.At() > upper.At() && !meets(upper, lower) && !sequence(upper, lower)
}

// sequence reports whether the upper row has no gap wide enough for a hole.
func sequence(upper, lower *Line) bool {
	return lower.At() >= len(upper.Cells.Trimmed())+upper.At() || upper.Cells[max(lower.At()-1, 0)].R != Blank || lower.At()+1 < len(upper.Cells) && upper.Cells[lower.At()+1].R != Blank
}

// askBetween is the question about two rows that may be one.
func (p *reader) askBetween(upper, lower *Line) {
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.SignRow, Span: lower.Cells.Span(lower.At(), lower.At()+len(lower.Cells.Trimmed())),
		Values:  diag.Values{diag.Number("line", upper.Number)},
		Message: "These holes stand between those of line {line}, and may be the drawn ones of one row; they are played after it, blown.",
		Hint:    "Write Blow: before one row and Draw: before the other.",
		Edits: func(e *diag.Editor) {
			head := func(l *Line, word string) diag.Change {
				return diag.Change{Span: diag.Span{Start: l.Span.Start, End: l.Span.Start}, Text: word}
			}
			e.Offer("Write Blow: and Draw: before the rows", head(upper, "Blow: "), head(lower, "Draw: "))
			e.Offer("Write Draw: and Blow: before the rows", head(upper, "Draw: "), head(lower, "Blow: "))
		},
	})
}
