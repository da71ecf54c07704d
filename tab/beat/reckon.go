package beat

// Neg is -a.
func (a Time) Neg() Time { return Time{-a.num, a.over} }

// Plus is a + b.
func (a Time) Plus(b Time) Time {
	if a.over == 0 && b.over == 0 {
		if sum, ok := add(a.num, b.num); ok {
			return Time{num: sum}
		}
	}
	common := gcd(a.Denom(), b.Denom())
	mine, theirs := a.Denom()/common, b.Denom()/common
	x, okX := mul(a.num, theirs)
	y, okY := mul(b.num, mine)
	sum, okSum := add(x, y)
	denom, okDenom := mul(a.Denom(), theirs)
	if okX && okY && okSum && okDenom {
		return lowest(sum, denom)
	}
	return nearest(a.rat().Add(a.rat(), b.rat()))
}

// Minus is a - b.
func (a Time) Minus(b Time) Time { return a.Plus(b.Neg()) }

// Times is a, n times.
func (a Time) Times(n int) Time {
	common := gcd(int64(n), a.Denom())
	if num, ok := mul(a.num, int64(n)/common); ok {
		return Time{num, a.Denom()/common - 1}
	}
	return nearest(a.rat().Mul(a.rat(), ratio(n)))
}

// Over is one of n equal shares of a. A share of none, n = 0, is 0 beats.
func (a Time) Over(n int) Time {
	if n == 0 {
		return Time{}
	}
	common := gcd(a.num, int64(n))
	share := int64(n) / common
	if denom, ok := mul(a.Denom(), share); ok {
		if denom < 0 {
			return Time{-a.num / common, -denom - 1}
		}
		return Time{a.num / common, denom - 1}
	}
	return nearest(a.rat().Quo(a.rat(), ratio(n)))
}

// Mod is what is left of a after as many whole lengths as go into it: from 0 up
// to the length, also for an a below 0. Of a length of 0 none goes into it.
func (a Time) Mod(length Time) Time { return a.Minus(length.Times(a.fits(length))) }

// fits is how many whole lengths, more than 0 beats each, go into a.
func (a Time) fits(length Time) int {
	if length.num <= 0 {
		return 0
	}
	n, okN := mul(a.num, length.Denom())
	d, okD := mul(length.num, a.Denom())
	if okN && okD {
		return lowest(n, d).Floor()
	}
	return int(held(floor(a.rat().Quo(a.rat(), length.rat()))))
}

// lowest is a fraction in lowest terms; d is above 0.
func lowest(n, d int64) Time {
	common := gcd(n, d)
	return Time{n / common, d/common - 1}
}

// gcd is the greatest common divisor, at least 1. One of the two is not 0.
func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return max(a, -a)
}
