package unfold

import (
	"math"

	"reedlark/tab/beat"
	"reedlark/tab/notes"
	"reedlark/tab/tree"
)

// change is a chord that begins inside an item, so long after the item does.
type change struct {
	after beat.Time
	placed
}

// block is neighbouring rows of chords, and the rows they belong to.
type block struct {
	chords []*chordRow
	rows   []*row
}

// readChordRows reads the rows of chords of the page. Where nothing else
// plays they do, as rows of rests.
func (p *page) readChordRows() {
	r := &chordReader{page: p}
	for _, l := range p.lines {
		if l.Kind == tree.ChordsLine {
			p.chords = append(p.chords, r.read(l))
		}
	}
	if !p.silent {
		return
	}
	for _, c := range p.chords {
		p.rows = append(p.rows, newRow(notes.Silent(p.Reporter, c.Line, c.items, p.limits)))
	}
}

// setChords puts the chords of the page into the rows they belong to.
func (p *page) setChords() {
	if len(p.chords) == 0 {
		return
	}
	for _, b := range p.blocks() {
		p.setBlock(b)
	}
}

// blocks finds out which chords belong to which rows. Chords are written above what
// they go with or, on a page that begins with something that plays and ends
// with chords, beneath it. They go on until the next chords.
func (p *page) blocks() []block {
	if p.silent {
		return []block{{p.chords, p.rows}}
	}
	var blocks []block
	rows := p.rows
	beneath := p.chords[0].Number > firstPlaying(rows).Line.Number && !anyBetween(rows, p.chords[len(p.chords)-1].Number, math.MaxInt)
	for i := 0; i < len(p.chords); {
		b := block{}
		if beneath {
			rows = b.take(rows, p.chords[i].Number)
		}
		from := p.chords[i].Number
		for i < len(p.chords) && !anyBetween(rows, from, p.chords[i].Number) {
			b.chords = append(b.chords, p.chords[i])
			i++
		}
		if !beneath {
			rows = b.take(rows, from) // what stands above all chords has none
			b.rows = nil
			end := math.MaxInt
			if i < len(p.chords) {
				end = p.chords[i].Number
			}
			rows = b.take(rows, end)
		}
		blocks = append(blocks, b)
	}
	return blocks
}

// take moves the rows above a line into the block, and returns the others.
func (b *block) take(rows []*row, line int) []*row {
	for len(rows) > 0 && rows[0].Line.Number < line {
		if rows[0].Sounds() {
			b.rows = append(b.rows, rows[0])
		}
		rows = rows[1:]
	}
	return rows
}

// anyBetween reports whether a row that plays lies between two lines.
func anyBetween(rows []*row, from, to int) bool {
	for _, r := range rows {
		if r.Line.Number > from && r.Line.Number < to && r.Sounds() {
			return true
		}
	}
	return false
}

// changes notes which chords begin in an item that is played now, and, at its
// start, which one sounds there.
func (o *walker) changes(it *item) {
	if it.extra == nil {
		return
	}
	for _, c := range it.extra.chords {
		if n := len(o.Chords); n > 0 && o.Chords[n-1].Chord.Same(c.chord) {
			continue
		}
		if len(o.Chords) >= o.most {
			o.tooMany = true
			return
		}
		o.Chords = append(o.Chords, tree.Change{At: o.Beats.Plus(c.after), Chord: c.chord, Span: c.span})
	}
}
