package arrange

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"reedlark/tab/melody"

	"reedlark/tab"
)

// column is one word of the tab row with what stands under it.
type column struct {
	cell
	width int
}

// lay writes the tab row, its count row and its words, in columns.
func (w *writer) lay(row []bar, cells [][]cell, counted bool) {
	columns := w.columns(row, cells, counted)
	w.losses(row, cells, columns)
	w.line(tab.TabLine, w.tabHead(counted)+join(columns, func(c column) string { return c.tab + c.tail }))
	if counted {
		w.line(tab.CountLine, "count:  "+join(columns, func(c column) string { return c.count }))
	}
	words := false
	for _, c := range columns {
		words = words || c.words != "" && c.words != unsung
	}
	if words {
		w.line(tab.TextLine, w.wordsHead(counted)+join(columns, func(c column) string { return c.words }))
	}
}

// tabHead stands before a row of tab, as wide as the head of its count row.
func (w *writer) tabHead(counted bool) string {
	switch {
	case counted:
		return "tab:    "
	case w.forced:
		return "tab: "
	}
	return ""
}

func (w *writer) wordsHead(counted bool) string {
	switch {
	case w.forced:
		return "text: "
	case counted:
		return "        "
	}
	return ""
}

// columns puts bar lines between the bars of a row, and finds out how wide each
// word is.
func (w *writer) columns(row []bar, cells [][]cell, counted bool) (out []column) {
	add := func(c cell) {
		width := utf8.RuneCountInString(c.tab + c.tail)
		if counted {
			width = max(width, utf8.RuneCountInString(c.count))
		}
		if w.sung {
			width = max(width, utf8.RuneCountInString(c.words))
		}
		out = append(out, column{c, width})
	}
	if sign := opening(row[0].of); sign != "" {
		add(cell{tab: sign, lost: -1})
	}
	for i := range row {
		for _, c := range cells[i] {
			add(c)
		}
		if sign := w.barLine(row, i); sign != "" {
			c := cell{tab: sign, lost: -1}
			if counted && i+1 < len(row) {
				c.count = "|"
			}
			add(c)
		}
	}
	return out
}

// opening is what stands before the first bar of a row; "" for nothing.
func opening(b *melody.Bar) string {
	var signs []string
	if b.Segno {
		signs = append(signs, "Segno")
	}
	if b.Coda {
		signs = append(signs, "Coda")
	}
	switch {
	case b.Open:
		signs = append(signs, "|:")
	case len(b.Endings) > 0:
		signs = append(signs, "|"+strconv.Itoa(b.Endings[0]))
	}
	return strings.Join(signs, " ")
}

// barLine is what stands after a bar; "" for nothing.
func (w *writer) barLine(row []bar, i int) string {
	b := row[i].of
	sign := ""
	switch {
	case b.Close > 0:
		sign = ":|"
	case b.Double:
		sign = "||"
	case w.barred:
		sign = "|"
	}
	if i+1 < len(row) && len(row[i+1].of.Endings) > 0 {
		return sign + strconv.Itoa(row[i+1].of.Endings[0])
	}
	if b.Close > 2 && !w.endings {
		sign += " x" + strconv.Itoa(b.Close)
	}
	return strings.TrimSpace(sign + " " + directions(b))
}

// directions are the words after a bar that say where to go on; "" for none.
func directions(b *melody.Bar) string {
	var words []string
	if b.Fine {
		words = append(words, "Fine")
	}
	if b.ToCoda {
		words = append(words, "To Coda")
	}
	if b.Jump.From != melody.NoJump {
		words = append(words, b.Jump.String())
	}
	return strings.Join(words, " ")
}

// join writes one of the lines of some columns.
func join(columns []column, word func(column) string) string {
	var b strings.Builder
	for _, c := range columns {
		text := word(c)
		b.WriteString(text)
		b.WriteString(strings.Repeat(" ", c.width-utf8.RuneCountInString(text)+1))
	}
	return strings.TrimRight(b.String(), " ")
}

// losses notes where the rests for lost notes will stand: the tab row is the
// next line that is written.
func (w *writer) losses(row []bar, cells [][]cell, columns []column) {
	at, k := w.out.Len()+len(w.tabHead(hasCounts(columns))), 0
	if opening(row[0].of) != "" {
		at += columns[0].width + 1
		k = 1
	}
	for i := range cells {
		for _, c := range cells[i] {
			if c.lost >= 0 {
				loss := w.loss(row[i].of.Number, c.lost)
				loss.Span = spanOf(c.tab, at)
				w.lost = append(w.lost, loss)
			}
			at += len(c.tab) + len(c.tail) + columns[k].width - utf8.RuneCountInString(c.tab+c.tail) + 1
			k++
		}
		if k < len(columns) && columns[k].isSign() {
			at += columns[k].width + 1
			k++
		}
	}
}

// isSign says that a column is a bar line or a repeat sign.
func (c column) isSign() bool { return strings.HasPrefix(c.tab, "|") || strings.HasPrefix(c.tab, ":|") }

func hasCounts(columns []column) bool {
	for _, c := range columns {
		if c.count != "" {
			return true
		}
	}
	return false
}

// decimal writes a number as short as it can.
func decimal(x float64) string {
	text := strconv.FormatFloat(x, 'f', 3, 64)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}
