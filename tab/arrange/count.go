package arrange

import (
	"strconv"

	"reedlark/tab/beat"
)

// countWords are the parts of a beat as they are counted.
func countWord(part beat.Time) string {
	switch part {
	case beat.Whole(1).Over(2):
		return "&"
	case beat.Whole(1).Over(4):
		return "e"
	case beat.Whole(3).Over(4):
		return "a"
	case beat.Whole(1).Over(3):
		return "trip"
	case beat.Whole(2).Over(3):
		return "let"
	}
	return ""
}

// crosses says that some note of a row crosses a beat it does not begin on, so
// that holds and plain braces cannot write it.
func (w *writer) crosses(row []bar) bool {
	for i := range row {
		parts := row[i].parts
		for k := 0; k < len(parts); {
			end := w.groupEnd(&row[i], k)
			span := parts[end-1].to.Minus(parts[k].from)
			if end-k > 1 && beat.Whole(1).Less(span) {
				return true
			}
			k = end
		}
	}
	return false
}

// counted writes a row with its counts; ok is false where counting cannot say it.
// A count is the first fitting place after the one before it, so a number reaches
// as far as a bar and a part of a beat as far as a beat.
func (w *writer) counted(row []bar) (cells [][]cell, ok bool) {
	full := beat.Whole(w.metre.Beats)
	var start, before beat.Time // beats from the start of the row
	for i := range row {
		if row[i].length != full || len(row[i].parts) == 0 {
			return nil, false
		}
		var line []cell
		for _, p := range row[i].parts {
			if p.goesOn && i > 0 {
				continue
			}
			at := start.Plus(p.from)
			word, far := countAt(p.from), beat.Whole(1)
			if p.from.IsWhole() {
				far = full
			}
			if word == "" || p.goesOn || far.Less(at.Minus(before)) {
				return nil, false
			}
			p.ends = true // what is left of it in later bars is not written
			c := w.cell(p, 1)
			c.count = word
			line, before = append(line, c), at
		}
		if len(line) == 0 {
			return nil, false
		}
		cells, start = append(cells, line), start.Plus(full)
	}
	return cells, true
}

// countAt is the count of a place in a bar; "" where it has none.
func countAt(at beat.Time) string {
	if at.IsWhole() {
		return strconv.Itoa(at.Floor() + 1)
	}
	return countWord(at.Mod(beat.Whole(1)))
}
