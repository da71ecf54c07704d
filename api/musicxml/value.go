package musicxml

import (
	"math/big"
	"math/bits"
)

// value is a length as notation has it: a kind of note, dots, and how many of
// them stand in the time of how many (3 in the time of 2 in a triplet).
type value struct {
	length         *big.Rat // quarters it lasts
	name           string   // "eighth"; "" where notation has none
	dots           int
	actual, normal int64 // 1 and 1 where nothing is modified
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
func values(length *big.Rat) []value {
	odd := oddPart(length.Denom())
	if odd == 0 {
		return []value{{length: length, actual: 1, normal: 1}}
	}
	normal := int64(1) << (bits.Len64(uint64(odd)) - 1)
	ratio := big.NewRat(odd, normal) // written over lasting
	rest := new(big.Rat).Mul(length, ratio)
	var out []value
	for rest.Sign() > 0 {
		v, ok := largest(rest)
		if !ok || len(out) == most {
			return []value{{length: length, actual: 1, normal: 1}}
		}
		rest.Sub(rest, v.length)
		v.length = new(big.Rat).Quo(v.length, ratio)
		v.actual, v.normal = odd, normal
		out = append(out, v)
	}
	return out
}

// maxTuplet is the most notes that stand in the time of others.
const maxTuplet = 1 << 10

// oddPart is a number without its factors of two; 0 where it is too large.
func oddPart(n *big.Int) int64 {
	m := new(big.Int).Rsh(n, n.TrailingZeroBits())
	if !m.IsInt64() || m.Int64() > maxTuplet {
		return 0
	}
	return m.Int64()
}

// largest is the longest value that fits, one dot included.
func largest(rest *big.Rat) (value, bool) {
	length := big.NewRat(longest, 1)
	for _, name := range names {
		dotted := new(big.Rat).Mul(length, big.NewRat(3, 2))
		if dotted.Cmp(rest) <= 0 {
			return value{length: dotted, name: name, dots: 1}, true
		}
		if length.Cmp(rest) <= 0 {
			return value{length: length, name: name}, true
		}
		length = new(big.Rat).Mul(length, big.NewRat(1, 2))
	}
	return value{}, false
}

// maxDivisions bounds the parts of a quarter that lengths are counted in.
const maxDivisions = 1 << 30

// divisions is how many parts a quarter needs so that every length is a whole
// number of them.
func divisions(lengths []*big.Rat) int64 {
	all := big.NewInt(1)
	for _, l := range lengths {
		gcd := new(big.Int).GCD(nil, nil, all, l.Denom())
		next := new(big.Int).Div(new(big.Int).Mul(all, l.Denom()), gcd)
		if next.Cmp(big.NewInt(maxDivisions)) > 0 {
			continue // that length is rounded
		}
		all = next
	}
	return all.Int64()
}
