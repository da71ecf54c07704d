package spacing_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/tab/spacing"
)

// rowOf reads a row of single digits, rests and bar lines.
func rowOf(line string) (row spacing.Row) {
	var starts, bars []int
	for i, c := range line {
		switch {
		case c == '|':
			bars = append(bars, i)
		case c != ' ' && c != '\t':
			starts = append(starts, i)
		}
	}
	row.Starts, row.Bars = spacing.Columns(line, starts), spacing.Columns(line, bars)
	row.End = spacing.Columns(line, []int{len(line)})[0]
	return row
}

func TestLengths(t *testing.T) {
	for name, c := range map[string]struct {
		page string
		bar  int
		want string
		show bool // a rhythm
	}{
		"beats":                {"4   4   5       5   |", 0, "1 1 2 1", false},
		"in bars":              {"4   4   5       |5       4       |", 4, "1 1 2 2 2", true},
		"bars with room":       {"4   4   5       | 5       4       | 4", 4, "1 1 2 2 2 4", true},
		"bars inside gaps":     {"4   4   5   | 5   4   4   | 4   4   4", 3, "1 1 1 1 1 1 1 1 1", false},
		"halves":               {"4   4   5       5       5       |4   4   4   4   5               |5               5               |", 4, "1/2 1/2 1 1 1 1/2 1/2 1/2 1/2 2 2 2", true},
		"rows":                 {"4   4   5       5\n6       6   6   5", 0, "1 1 2 1 2 1 1 1", true},
		"tabs":                 {"4\t5\t\t6\t7", 0, "1 2 1 1", false},
		"narrow":               {"4 4 5   5\n6   6 6 5", 0, "1 1 2 1 2 1 1 1", false},
		"of many sizes":        {"4   4       4           4               4                   4                       4   4\n4                       4                   4               4           4       4   4   4", 0, "1 2 3 4 5 6 1 1 6 5 4 3 2 1 1 1", false},
		"single blanks":        {"4 4 5 5 6", 0, "1 1 1 1 1", false},
		"evenly":               {"4   4   5   5\n6   6   7   7", 0, "1 1 1 1 1 1 1 1", false},
		"bars that do not fit": {"4   4   5       |5       4       5   |4   4   |", 4, "1 1 2 2 2 1 1 1", false},
		"words made the gaps":  {"4    4  5       5\n6  6       6   5", 0, "2 1 3 1 1 3 1 1", false},
	} {
		t.Run(name, func(t *testing.T) {
			var rows []spacing.Row
			for line := range strings.SplitSeq(c.page, "\n") {
				rows = append(rows, rowOf(line))
			}
			r := spacing.Read(rows, c.bar)
			var got []string
			for _, row := range rows {
				for _, b := range r.Lengths(row) {
					got = append(got, b.String())
				}
			}
			assert.Equal(t, c.want, strings.Join(got, " "))
			assert.Equal(t, c.show, r.Rhythm())
		})
	}
}
