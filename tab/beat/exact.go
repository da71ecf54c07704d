package beat

import (
	"math/big"
	"math/bits"
)

// Grain is how many equal parts of a beat a result is rounded to that does not
// fit exactly: all that is counted in up to twenty parts a beat is a whole number
// of grains, and a grain is under 13 billionths of a second.
const Grain = 232792560 // least common multiple of 1 to 20

// mul is a product, and whether it is within ±most.
func mul(a, b int64) (int64, bool) {
	high, low := bits.Mul64(size(a), size(b))
	return a * b, high == 0 && low <= most
}

// add is a sum, and whether it is within ±most.
func add(a, b int64) (int64, bool) {
	sum := a + b
	return sum, (a^sum)&(b^sum) >= 0 && sum >= -most
}

// rat is a in numbers of any size.
func (a Time) rat() *big.Rat { return big.NewRat(a.num, a.Denom()) }

func ratio(n int) *big.Rat { return new(big.Rat).SetInt64(int64(n)) }

// nearest is x exactly where that fits, else the multiple of a grain nearest to
// it, else, for what is too large to be told in grains, the whole beat below it.
func nearest(x *big.Rat) Time {
	if x.Num().IsInt64() && x.Denom().IsInt64() && x.Num().Int64() >= -most {
		return Time{x.Num().Int64(), x.Denom().Int64() - 1}
	}
	halves := floor(new(big.Rat).Mul(x, ratio(2*Grain)))
	if grains := halves.Add(halves, big.NewInt(1)).Rsh(halves, 1); grains.IsInt64() {
		return lowest(max(grains.Int64(), -most), Grain)
	}
	return Time{num: held(floor(x))}
}

// floor is the largest whole number that is not above x.
func floor(x *big.Rat) *big.Int { return new(big.Int).Div(x.Num(), x.Denom()) }

// held is a number of any size within ±most.
func held(n *big.Int) int64 {
	switch {
	case n.IsInt64():
		return max(n.Int64(), -most)
	case n.Sign() < 0:
		return -most
	default:
		return most
	}
}
