package tab

import (
	"reedlark/tab/beat"
	"reedlark/tab/chord"
	"reedlark/tab/diag"
)

// Change is a moment at which the chord changes.
type Change struct {
	At    beat.Time // beats from the start of the piece
	Chord chord.Chord
	Span  diag.Span // of the symbol
}

// change is a chord that begins inside an item, so long after the item does.
type change struct {
	after beat.Time
	placed
}

// block is rows of chords that stand together, and the rows they belong to.
type block struct {
	chords []*chordRow
	rows   []*row
}

// readChordRows reads the rows of chords of the page. Where nothing else
// plays they do, as rows of rests.
func (p *page) readChordRows() {
	r := &chordReader{page: p}
	for _, s := range p.sheets {
		if s.kind == ChordsLine {
			p.chords = append(p.chords, r.read(s))
		}
	}
	if p.played {
		return
	}
	for _, c := range p.chords {
		row := &row{sheet: c.sheet, items: c.items, times: 1}
		p.settleTimes(row)
		p.rows = append(p.rows, row)
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

// blocks finds out which chords belong to which rows. Chords stand above what
// they go with or, on a page that begins with something that plays and ends
// with chords, beneath it. They go on until the next chords.
func (p *page) blocks() []block {
	if !p.played {
		return []block{{p.chords, p.rows}}
	}
	var blocks []block
	rows := p.rows
	beneath := p.chords[0].number > firstPlaying(rows).number && !anyBetween(rows, p.chords[len(p.chords)-1].number, int(endless))
	for i := 0; i < len(p.chords); {
		b := block{}
		if beneath {
			rows = b.take(rows, p.chords[i].number)
		}
		from := p.chords[i].number
		for i < len(p.chords) && !anyBetween(rows, from, p.chords[i].number) {
			b.chords = append(b.chords, p.chords[i])
			i++
		}
		if !beneath {
			rows = b.take(rows, from) // what stands above all chords has none
			b.rows = nil
			end := int(endless)
			if i < len(p.chords) {
				end = p.chords[i].number
			}
			rows = b.take(rows, end)
		}
		blocks = append(blocks, b)
	}
	return blocks
}

// take moves the rows above a line into the block, and returns the others.
func (b *block) take(rows []*row, line int) []*row {
	for len(rows) > 0 && rows[0].number < line {
		if rows[0].sounds() {
			b.rows = append(b.rows, rows[0])
		}
		rows = rows[1:]
	}
	return rows
}

// anyBetween says that a row that plays stands between two lines.
func anyBetween(rows []*row, from, to int) bool {
	for _, r := range rows {
		if r.number > from && r.number < to && r.sounds() {
			return true
		}
	}
	return false
}

// changes notes which chords begin in an item that is played now, and, at its
// start, which one sounds there.
func (o *player) changes(it *item) {
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
		o.Chords = append(o.Chords, Change{o.Beats.Plus(c.after), c.chord, c.span})
	}
}
