package unfold

import (
	"fmt"
	"slices"
	"unicode"
	"unicode/utf8"

	"reedlark/tab/chord"
	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// chordRow is a row of chord symbols, cut into bars.
type chordRow struct {
	*scan.Line
	bars []chordBar
	// items are the row as one that plays: rests as long as its bars, and the
	// bar lines and repeat signs between them.
	items []scan.Item
}

// chordBar is what sounds in a bar.
type chordBar []placed

// placed is a chord and its share of the bar, in parts.
type placed struct {
	chord chord.Chord
	span  diag.Span
	parts int
}

// usualBar is the beats of a bar of chords where nothing says.
const usualBar = 4

// hinted is the number of unknown symbols for which the nearest is looked for;
// a page with more of them is not one of chords.
const hinted = 100

// chordReader reads one row after another.
type chordReader struct {
	page    *page
	unknown int      // symbols, so far
	last    chordBar // the bar before the open one, on this row or the one before

	lex  *scan.Lexer
	row  *chordRow
	now  chordBar
	open diag.Span // of the bar that is open
	bars bool      // the row has bar lines
	beat bool      // it has marks that stand for a beat each
}

// read reads a row of chords. Without bar lines every chord has a bar of its
// own or, where strokes count the beats, as many beats as it has marks.
func (r *chordReader) read(l *scan.Line) *chordRow {
	r.lex = scan.NewLexer(l)
	r.row, r.bars, r.beat = &chordRow{Line: l}, false, false
	for i := l.Body; i < len(l.Cells); i++ {
		r.bars = r.bars || l.Cells.BarAt(i)
		r.beat = r.beat || isBeat(l.Cells[i].R) && (endsWord(l.Cells, i-1) && endsWord(l.Cells, i+1))
	}
	for i := l.Body; i < len(l.Cells); {
		i = r.next(i)
	}
	r.close()
	r.row.items = r.lex.Items
	return r.row
}

// isBeat reports whether a mark is another beat of the chord before it.
func isBeat(r rune) bool { return r == '/' || r == '-' || r == '.' || r == '·' }

// endsWord reports whether no word of a row of chords goes on at cell i.
func endsWord(cells scan.Cells, i int) bool {
	return i < 0 || i >= len(cells) || cells[i].R == scan.Blank || cells[i].R == ',' || cells[i].R == ':' || cells.BarAt(i)
}

// next reads what begins at cell i and returns where it ends.
func (r *chordReader) next(i int) int {
	cells := r.lex.Cells
	switch {
	case cells.BarAt(i):
		r.close()
		r.closeEmpty()
		return r.lex.Bars(i)
	case endsWord(cells, i):
		return i + 1
	}
	end := i + 1
	for !endsWord(cells, end) {
		end++
	}
	r.word(i, end)
	return end
}

// word reads a symbol, a mark or x2.
func (r *chordReader) word(i, end int) {
	cells := r.lex.Cells[i:end]
	if n, ok := cells.Times(); ok {
		r.close()
		r.lex.Add(scan.Times, i, end)
		r.lex.Last().N = n
		return
	}
	at := cells.Span(0, len(cells))
	if r.open.End == 0 {
		r.open.Start = at.Start
	}
	r.open.End = at.End
	switch {
	case cells[0].R == '%' && len(cells) == 1:
		r.again(at)
	case isBeat(cells[0].R) && len(cells) == 1:
		r.hold(at)
	default:
		r.symbol(cells.Text(), at)
	}
	if !r.bars && (!r.beat || r.parts() >= r.beats()) {
		r.close()
	}
}

// symbol reads a chord. One that is none is silent.
func (r *chordReader) symbol(text string, at diag.Span) {
	c, err := chord.Parse(text)
	if err != nil {
		hint := ""
		if first, _ := utf8.DecodeRuneInString(text); !unicode.IsLetter(first) {
			hint = "Write a chord, such as C, or take it out."
		} else if r.unknown < hinted {
			hint = "Write " + chord.Nearest(text) + "."
		}
		r.unknown++
		r.page.addOfChords(diag.Error, diag.UnknownChord, at, hint, fmt.Sprintf("“%s” is not a chord.", diag.Shorten(text)))
		c = chord.Chord{Symbol: text, Silent: true}
	}
	r.now = append(r.now, placed{c, at, 1})
}

// hold lets the chord before last one part longer.
func (r *chordReader) hold(at diag.Span) {
	if n := len(r.now); n > 0 {
		r.now[n-1].parts++
	} else if n := len(r.last); n > 0 {
		r.now = append(r.now, placed{r.last[n-1].chord, at, 1})
	}
}

// again reads %, which repeats the bar before.
func (r *chordReader) again(at diag.Span) {
	if len(r.last) == 0 && len(r.now) == 0 {
		r.page.addOfChords(diag.Error, diag.UnknownChord, at, "Write a chord, such as C.", "% repeats the bar before it, and there is none.")
	}
	if len(r.now) == 0 {
		r.now = slices.Clone(r.last)
	}
}

// parts is how many parts the open bar has.
func (r *chordReader) parts() (sum int) {
	for _, c := range r.now {
		sum += c.parts
	}
	return sum
}

// beats are those of a bar.
func (r *chordReader) beats() int {
	if r.page.metre.Beats > 0 {
		return r.page.metre.Beats
	}
	return usualBar
}

// closeEmpty ends a bar with nothing in it, between two bar lines: it goes on
// as the bar before.
func (r *chordReader) closeEmpty() {
	items := r.lex.Items
	if n := len(items); n > 0 && items[n-1].Kind == scan.Bar && len(r.row.bars) > 0 {
		r.open = items[n-1].Span
		r.close()
	}
}

// close ends the bar that is open, if there is one.
func (r *chordReader) close() {
	if r.open.End == 0 {
		return
	}
	if len(r.now) == 0 {
		r.now = slices.Clone(r.last)
	}
	r.row.bars = append(r.row.bars, r.now)
	rest := scan.Item{Kind: scan.Rest, From: r.row.Body, To: r.row.Body + 1, Span: r.open, Line: r.row.Number}
	r.lex.Items = append(r.lex.Items, rest)
	if n := r.beats() - 1; n > 0 {
		rest.Kind, rest.N = scan.Hold, n
		r.lex.Items = append(r.lex.Items, rest)
	}
	r.last, r.now, r.open = r.now, nil, diag.Span{}
}
