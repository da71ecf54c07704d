// Package spacing reads the rhythm that the blanks of a page show.
//
// Some people leave more room after a longer note. A note then lasts as long as
// it is columns to the next note's start, tabs expanded; the smallest common gap
// is the shortest length.
//
//	4   4   5       5   |     two shortest, a long one, a shortest
//
// How many beats the shortest is follows from the bars where the page has a metre
// and bar lines; else it is one beat.
package spacing

import (
	"math"

	"reedlark/tab/beat"
)

// Row is a row of tab as its columns show it, from 0.
type Row struct {
	Starts []int // of its notes and rests
	Bars   []int // of its bar lines
	End    int   // behind its last sign
}

// TabStop is how far apart the stops of tab characters are, in columns. Common
// practice, no source.
const TabStop = 8

// Columns are the columns of byte offsets in a line, in ascending order.
func Columns(line string, offsets []int) []int {
	out := make([]int, 0, len(offsets))
	column := 0
	for at, c := range line {
		for len(out) < len(offsets) && offsets[len(out)] <= at {
			out = append(out, column)
		}
		column++
		if c == '\t' {
			column += (TabStop - column%TabStop) % TabStop
		}
	}
	for len(out) < len(offsets) {
		out = append(out, column)
	}
	return out
}

// Reading is how the gaps of a page are understood.
type Reading struct {
	Shortest int       // columns
	beats    beat.Time // that the shortest lasts
	bar      int       // beats; 0 where nobody knows
	width    int       // columns that a bar line takes for itself
	exact    float64   // the share of gaps that are whole multiples of the shortest
	sizes    int       // how many there are
	fits     bool      // bars, or rows, add up
}

// Read understands the rows of a page. A bar has so many beats, 0 where nobody knows.
func Read(rows []Row, bar int) Reading {
	best := reading(rows, bar, 0)
	for width := 1; width <= 2; width++ {
		if other := reading(rows, bar, width); other.exact > best.exact {
			best = other
		}
	}
	best.settle(rows)
	return best
}

// reading looks for the shortest gap, where bar lines take some columns for themselves.
func reading(rows []Row, bar, width int) Reading {
	r := Reading{Shortest: 1, beats: beat.Whole(1), bar: bar, width: width}
	counts, total := map[int]int{}, 0
	for _, row := range rows {
		for i := 1; i < len(row.Starts); i++ {
			counts[r.gap(row, i-1)]++
			total++
		}
	}
	if total == 0 {
		return r
	}
	r.Shortest = shortest(counts, total)
	exact, sizes := 0, map[int]bool{}
	for gap, n := range counts {
		units := r.units(gap)
		sizes[units] = true
		if math.Abs(float64(gap)-float64(units*r.Shortest)) <= .15*float64(r.Shortest) {
			exact += n
		}
	}
	r.exact, r.sizes = float64(exact)/float64(total), len(sizes)
	return r
}

// shortest is the smallest gap that is common: a tenth of all, and two at least.
func shortest(counts map[int]int, total int) int {
	least, common := math.MaxInt, math.MaxInt
	for gap, n := range counts {
		least = min(least, gap)
		if n >= 2 && 10*n >= total {
			common = min(common, gap)
		}
	}
	if common == math.MaxInt {
		return max(least, 1)
	}
	return max(common, 1)
}

// gap is how far it is from a note to what comes next: a note, the bar line behind the
// last one, or the end of the row.
func (r Reading) gap(row Row, i int) int {
	from, to := row.Starts[i], row.End
	if i+1 < len(row.Starts) {
		to = row.Starts[i+1]
	}
	lines := 0
	for _, b := range row.Bars {
		if b > from && b < to {
			lines++
			if i+1 == len(row.Starts) {
				to = b
			}
		}
	}
	if i+1 == len(row.Starts) {
		return to - from
	}
	return to - from - lines*r.width
}

// units is a gap in shortest ones.
func (r Reading) units(gap int) int {
	return max(int(math.Round(float64(gap)/float64(r.Shortest))), 1)
}

// Lengths are the beats of each note of a row.
func (r Reading) Lengths(row Row) []beat.Time {
	out := make([]beat.Time, len(row.Starts))
	sum := beat.Time{}
	for i := range row.Starts {
		out[i] = r.beats.Times(r.units(r.gap(row, i)))
		if i+1 == len(row.Starts) && !row.closed() {
			out[i] = r.rest(sum)
		}
		sum = sum.Plus(out[i])
	}
	return out
}

// closed says that a bar line stands behind the last note.
func (row Row) closed() bool {
	n := len(row.Bars)
	return n > 0 && len(row.Starts) > 0 && row.Bars[n-1] > row.Starts[len(row.Starts)-1]
}

// rest is how long the last note of a row lasts: until its bar ends, or its beat.
func (r Reading) rest(sum beat.Time) beat.Time {
	whole := beat.Whole(max(r.bar, 1))
	return whole.Minus(sum.Mod(whole))
}

// settle finds how many beats the shortest gap is.
func (r *Reading) settle(rows []Row) {
	if r.bar == 0 {
		r.fits = r.even(rows)
		return
	}
	most := 0
	for _, beats := range []beat.Time{beat.Whole(1), beat.Whole(1).Over(2), beat.Whole(1).Over(4), beat.Whole(1).Over(3), beat.Whole(2)} {
		try := *r
		try.beats = beats
		if right, all := try.whole(rows); right > most && 2*right > all {
			most, r.beats, r.fits = right, beats, right == all
		}
	}
}

// whole counts the bars that have the beats of the metre: those between two bar lines
// of a row.
func (r Reading) whole(rows []Row) (right, all int) {
	for _, row := range rows {
		lengths, i := r.Lengths(row), 0
		for k, line := range row.Bars {
			sum := beat.Time{}
			for ; i < len(row.Starts) && row.Starts[i] < line; i++ {
				sum = sum.Plus(lengths[i])
			}
			if k == 0 || sum.Sign() == 0 {
				continue // perhaps the end of a bar, or a double line
			}
			all++
			if sum == beat.Whole(r.bar) {
				right++
			}
		}
	}
	return right, all
}

// even says that rows without bars are as long as each other, but for the last notes.
func (r Reading) even(rows []Row) bool {
	totals := map[int]int{}
	for _, row := range rows {
		total := 0
		for i := 0; i+1 < len(row.Starts); i++ {
			total += r.units(r.gap(row, i))
		}
		totals[total]++
	}
	return len(totals) == 1 && len(rows) > 1
}

// Rhythm says that the gaps show a rhythm: they are of a few sizes, two at least, all
// whole multiples of the shortest, and what they make fits bars.
func (r Reading) Rhythm() bool {
	const narrow, few = 3, 5
	return r.Shortest >= narrow && r.sizes >= 2 && r.sizes <= few && r.exact == 1 && r.fits
}
