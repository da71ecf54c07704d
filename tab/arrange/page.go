package arrange

import (
	"slices"
	"strings"
	"unicode"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// style is how a page is written.
type style struct {
	counts bool // rows may have count rows
	forced bool // every row and every line of words says what it is
	bare   bool // there is no header
}

// writer writes a piece as a page.
type writer struct {
	*piece
	style
	way   *harp.Way
	wish  harp.Wish
	verse int

	out     strings.Builder
	kinds   []tab.LineKind // of the lines written
	metre   melody.Metre   // in force
	regular bool           // all bars so far are whole, so that counting is sure
	chord   string         // that sounds
	chorded bool           // the tune has chords
	sung    bool
	endings bool // repeats have endings, whose number says how often they are played
	lost    []Loss
}

// page writes everything.
func (w *writer) page() *Page {
	w.endings = slices.ContainsFunc(w.tune.Bars, func(b melody.Bar) bool { return len(b.Endings) > 0 })
	w.chorded, w.sung, w.regular = len(w.tune.Chords) > 0, w.hasWords(), true
	if !w.bare {
		w.head()
	}
	for from := 0; from < len(w.bars); {
		to := w.rowEnd(from)
		w.row(from, to)
		from = to
	}
	w.otherVerses()
	return &Page{Text: w.out.String(), Way: *w.way, Lost: w.lost, Said: w.said}
}

// line writes a line of a kind.
func (w *writer) line(kind tab.LineKind, text string) {
	w.out.WriteString(text)
	w.out.WriteByte('\n')
	w.kinds = append(w.kinds, kind)
}

func (w *writer) blank() { w.line(tab.TextLine, "") }

// head writes what the page says about itself, and what was taken and left out.
func (w *writer) head() {
	if title := clean(w.tune.Title, maxTitle); title != "" {
		w.line(tab.HeaderLine, "Title: "+title)
	}
	w.line(tab.HeaderLine, "Harp: "+w.way.Harp.Key.String())
	if name := w.way.Harp.Layout.Name; name != "richter" && name != harp.Custom {
		w.line(tab.HeaderLine, "Layout: "+name)
	}
	if tempo := w.tempo(); tempo != "" {
		w.line(tab.HeaderLine, "Tempo: "+tempo)
	}
	if len(w.bars) > 0 && w.bars[0].of.Metre.Unit > 0 {
		w.metre = w.piece.metre(w.bars[0].of.Metre)
		w.line(tab.HeaderLine, "Metre: "+w.metre.String())
	}
	if w.tune.Swing > 0.5 {
		w.line(tab.HeaderLine, "Swing: "+decimal(min(w.tune.Swing, 0.75)))
	}
	for _, said := range w.said {
		w.line(tab.CommentLine, "# "+clean(said, maxRemark))
	}
	w.blank()
}

// The most characters of a title and of a remark.
const (
	maxTitle  = 200
	maxRemark = 300
)

// clean makes one line of a text: line ends and other control characters are
// blanks, and it is cut at a number of characters.
func clean(text string, most int) string {
	text = strings.Join(strings.FieldsFunc(text, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r) || r == unicode.ReplacementChar || r == '\u2028' || r == '\u2029' || r == '\ufeff'
	}), " ")
	if runes := []rune(text); len(runes) > most {
		text = string(runes[:most-1]) + "…"
	}
	return text
}

// tempo is that of the page, in its own beats; "" for none.
func (w *writer) tempo() string {
	bpm := w.tune.Tempo * float64(w.unit) / 4
	if !(bpm > 0) {
		return ""
	}
	return decimal(min(max(bpm, beat.MinTempo), beat.MaxTempo))
}

// mostBars is how many bars a row has, and widest how many characters.
const (
	mostBars = 4
	widest   = 72
)

// rowEnd is the bar after the last of the row that begins at a bar.
func (w *writer) rowEnd(from int) int {
	width := 0
	for i := from; i < len(w.bars); i++ {
		if i > from && (i-from >= mostBars+w.pickup(from) || w.begins(i) || width+w.width(i) > widest) {
			return i
		}
		width += w.width(i)
	}
	return len(w.bars)
}

// pickup is 1 for a row that begins with a short bar.
func (w *writer) pickup(from int) int {
	if full := w.bars[from].of.Metre.Beats; from == 0 && w.bars[0].length.Less(beat.Whole(full)) {
		return 1
	}
	return 0
}

// begins says that a bar begins a row, whatever the length of the row before.
func (w *writer) begins(i int) bool {
	b, before := w.bars[i].of, w.bars[i-1].of
	closed := before.Close > 0 && len(b.Endings) == 0
	return b.Section != "" || b.Open || b.Segno || b.Coda || b.Metre != before.Metre || closed || before.Double || directions(before) != ""
}

// width is about how wide a bar is written.
func (w *writer) width(i int) int {
	width := len(" | ")
	for _, c := range w.bar(&w.bars[i]) {
		word := len(c.tab) + len(c.tail)
		if w.sung {
			word = max(word, len([]rune(c.words)))
		}
		width += word + 1
	}
	return width
}

// hasWords says that the chosen verse has words.
func (w *writer) hasWords() bool {
	for i := range w.tune.Notes {
		if w.tune.Notes[i].Fingering != "" && w.syllable(i) != unsung {
			return true
		}
	}
	return false
}

// row writes a row and all that belongs to it.
func (w *writer) row(from, to int) {
	row := w.bars[from:to]
	first := row[0].of
	if first.Section != "" {
		w.section(first.Section)
	}
	if metre := w.piece.metre(first.Metre); metre != w.metre && metre.Unit > 0 && w.metre.Unit > 0 {
		w.metre, w.regular = metre, false
		w.line(tab.HeaderLine, "Metre: "+metre.String())
	}
	cells, counted := w.cells(from, to)
	w.comments(row, cells)
	if w.chorded {
		w.line(tab.ChordsLine, "chords: "+w.chords(row))
	}
	w.lay(row, cells, counted)
	for i := range row {
		full := row[i].length == beat.Whole(w.metre.Beats)
		w.regular = w.regular && (full || from+i == 0)
	}
	if to < len(w.bars) && (counted || w.chorded || w.sung) {
		w.blank()
	}
}

// cells are those of the bars of a row.
func (w *writer) cells(from, to int) (cells [][]cell, counted bool) {
	row := w.bars[from:to]
	tied := to < len(w.bars) && len(w.bars[to].parts) > 0 && w.bars[to].parts[0].goesOn
	if w.counts && w.regular && !tied && w.metre.Beats > 0 && w.crosses(row) {
		if cells, ok := w.counted(row); ok {
			return cells, true
		}
	}
	for i := range row {
		cells = append(cells, w.bar(&row[i]))
	}
	return cells, false
}

// section writes a heading.
func (w *writer) section(name string) {
	name = clean(strings.Map(func(r rune) rune {
		if strings.ContainsRune("[](){}", r) {
			return -1
		}
		return r
	}, name), maxTitle)
	if name == "" {
		return
	}
	w.line(tab.SectionLine, "["+name+"]")
}

// comments names what the harp lacks.
func (w *writer) comments(row []bar, cells [][]cell) {
	for i := range cells {
		for _, c := range cells[i] {
			if c.lost >= 0 {
				w.line(tab.CommentLine, "# "+w.loss(row[i].of.Number, c.lost).Comment(w.way.Harp.Key.String()))
			}
		}
	}
}

func (w *writer) loss(bar string, note int) Loss {
	n := &w.tune.Notes[note]
	return Loss{
		Bar: bar, What: n.Top().Name,
		Up: octaveApart(n, 1, w.way, w.wish), Down: octaveApart(n, -1, w.way, w.wish),
	}
}

// spanOf is where the rest of a lost note stands.
func spanOf(word string, at int) diag.Span {
	i := at + strings.IndexByte(word, 'r')
	return diag.Span{Start: i, End: i + 1}
}
