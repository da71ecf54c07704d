package musicxml

import (
	"math/bits"

	"reedlark/tab/beat"
)

// value is a length as notation has it: a kind of note, dots, and how many of
// them stand in the time of how many (3 in the time of 2 in a triplet).
type value struct {
	length         beat.Time // quarters it lasts
	name           string    // "eighth"; "" where notation has none
	dots           int
	actual, normal int // 1 and 1 where nothing is modified
}

// names are the kinds of note, from the longest, of eight quarters, each half
// as long as the one before. ref: MusicXML 4.0, note-type-value.
var names = []string{
	"breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th",
}

const longest = 8 // quarters

// most is how many tied notes one length may become; what takes more is written
// without a kind.
const most = 8

// values cuts a length, in quarters, into values that are tied.
func values(length beat.Time) []value {
	odd := oddPart(length.Denom())
	if odd == 0 {
		return []value{{length: length, actual: 1, normal: 1}}
	}
	normal := 1 << (bits.Len(uint(odd)) - 1)
	rest := length.Times(odd).Over(normal) // as written
	var out []value
	for rest.Sign() > 0 {
		v, ok := largest(rest)
		if !ok || len(out) == most {
			return []value{{length: length, actual: 1, normal: 1}}
		}
		rest = rest.Minus(v.length)
		v.length = v.length.Times(normal).Over(odd)
		v.actual, v.normal = odd, normal
		out = append(out, v)
	}
	return out
}

// maxTuplet is the most notes that stand in the time of others.
const maxTuplet = 1 << 10

// oddPart is a number without its factors of two; 0 where it is too large.
func oddPart(n int64) int {
	n >>= bits.TrailingZeros64(uint64(n))
	if n > maxTuplet {
		return 0
	}
	return int(n)
}

// largest is the longest value that fits, one dot included.
func largest(rest beat.Time) (value, bool) {
	length := beat.Whole(longest)
	for _, name := range names {
		if dotted := length.Times(3).Over(2); !rest.Less(dotted) {
			return value{length: dotted, name: name, dots: 1}, true
		}
		if !rest.Less(length) {
			return value{length: length, name: name}, true
		}
		length = length.Over(2)
	}
	return value{}, false
}

// maxDivisions bounds the parts of a quarter that lengths are counted in.
const maxDivisions = 1 << 30

// divisions is how many parts a quarter needs so that every length is a whole
// number of them.
func divisions(lengths []beat.Time) int64 {
	all := 1
	for _, l := range lengths {
		more := l.Times(all).Denom()         // what is missing so that it is whole
		if more <= maxDivisions/int64(all) { // else that length is rounded
			all *= int(more)
		}
	}
	return int64(all)
}
