package beat

import (
	"cmp"
	"math/bits"
	"strconv"
)

// Time is a number of beats, exact. It may be negative.
type Time struct {
	num  int64 // never below -most
	over int64 // one less than the denominator, so that zero is 0/1; from 0
}

// most is the largest numerator and the largest denominator.
const most = 1<<63 - 1

// Whole is a whole number of beats.
func Whole(n int) Time { return Time{num: max(int64(n), -most)} }

// Num is the numerator in lowest terms, with the sign.
func (a Time) Num() int64 { return a.num }

// Denom is the denominator in lowest terms, from 1.
func (a Time) Denom() int64 { return a.over + 1 }

// IsWhole says that it is a whole number of beats.
func (a Time) IsWhole() bool { return a.over == 0 }

// Sign is -1, 0 or 1.
func (a Time) Sign() int { return cmp.Compare(a.num, 0) }

// Cmp is -1, 0 or 1 as a comes before b, is b, or comes after it.
func (a Time) Cmp(b Time) int {
	if a.over == b.over || a.Sign() != b.Sign() {
		return cmp.Compare(a.num, b.num)
	}
	aHigh, aLow := bits.Mul64(size(a.num), size(b.Denom()))
	bHigh, bLow := bits.Mul64(size(b.num), size(a.Denom()))
	return a.Sign() * cmp.Or(cmp.Compare(aHigh, bHigh), cmp.Compare(aLow, bLow))
}

// Less says that a comes before b.
func (a Time) Less(b Time) bool { return a.Cmp(b) < 0 }

// Min is the sooner of two times.
func Min(a, b Time) Time {
	if b.Less(a) {
		return b
	}
	return a
}

// Max is the later of two times.
func Max(a, b Time) Time {
	if a.Less(b) {
		return b
	}
	return a
}

// Floor is the largest whole number of beats that is not above a.
func (a Time) Floor() int {
	whole := a.num / a.Denom()
	if a.num%a.Denom() < 0 {
		whole--
	}
	return int(whole)
}

// Ceil is the least whole number of beats that is not below a.
func (a Time) Ceil() int { return -a.Neg().Floor() }

// String writes a fraction as people do: 3, -1/2, 4/3.
func (a Time) String() string {
	if a.IsWhole() {
		return strconv.FormatInt(a.num, 10)
	}
	return strconv.FormatInt(a.num, 10) + "/" + strconv.FormatInt(a.Denom(), 10)
}

// size is how far a number is from 0.
func size(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}
