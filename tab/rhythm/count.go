package rhythm

import (
	"strconv"
	"strings"

	"reedlark/tab/beat"
)

// parts are the words for the twelfths of a beat.
var parts = map[int]string{3: "e", 4: "trip", 6: "&", 8: "let", 9: "a"}

// counts is the count row of a line, each count below its note where it fits; ok
// is false where a note falls between the places that are counted.
func (l *line) counts(bar beat.Time, head string, columns []int) (string, bool) {
	var out counted
	out.WriteString(head)
	at := l.start
	for i, it := range l.items {
		word, ok := countAt(at, bar)
		if !ok {
			return "", false
		}
		out.WriteString(strings.Repeat(" ", max(columns[i]-out.characters, 1)))
		out.WriteString(word)
		at = at.Plus(it.beats)
	}
	return out.String(), true
}

func countAt(at, bar beat.Time) (string, bool) {
	in := at.Mod(bar)
	part := in.Mod(beat.Whole(1)).Times(12)
	if part.Sign() == 0 {
		return strconv.Itoa(in.Floor() + 1), true
	}
	word, ok := parts[part.Floor()]
	return word, ok && part.IsWhole()
}
