package beat_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/tab/beat"
)

// anyInt draws small numbers, large ones, and those at the ends.
func anyInt(t *rapid.T, name string) int {
	return rapid.OneOf(
		rapid.IntRange(-64, 64), rapid.Int(),
		rapid.SampledFrom([]int{math.MinInt, math.MinInt + 1, math.MaxInt, 1 << 31, 1 << 32, 1<<62 - 1, beat.Grain, -beat.Grain}),
	).Draw(t, name)
}

func anyTime(t *rapid.T, name string) beat.Time {
	return beat.Whole(anyInt(t, name)).Over(anyInt(t, name+" over"))
}

func rat(a beat.Time) *big.Rat { return big.NewRat(a.Num(), a.Denom()) }

func whole(n int) *big.Rat { return new(big.Rat).SetInt64(int64(n)) }

// stands says that got is want: exactly where that fits, else to half a grain,
// to a beat beyond those, and held at the ends. It is in lowest terms.
func stands(t *rapid.T, want *big.Rat, got beat.Time) {
	t.Helper()
	require.Equal(t, [2]string{rat(got).Num().String(), rat(got).Denom().String()}, [2]string{whole(int(got.Num())).Num().String(), whole(int(got.Denom())).Num().String()}, "lowest terms")
	off := new(big.Rat).Sub(want, rat(got))
	size := new(big.Rat).Abs(want)
	switch {
	case want.Num().IsInt64() && want.Denom().IsInt64() && want.Num().Int64() != math.MinInt64:
		require.Zero(t, off.Sign(), "%s is not %s", got, want)
	case size.Cmp(big.NewRat(math.MaxInt64, 2*beat.Grain)) < 0:
		require.LessOrEqual(t, off.Abs(off).Cmp(big.NewRat(1, 2*beat.Grain)), 0, "%s is not near %s", got, want)
	case size.Cmp(whole(math.MaxInt)) <= 0:
		require.Negative(t, off.Abs(off).Cmp(whole(1)), "%s is not near %s", got, want)
	default:
		require.Equal(t, beat.Whole(math.MaxInt).Times(want.Sign()), got)
	}
}

// The oracle is math/big, whose fractions have no bounds.
func TestAgainstFractionsWithoutBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, n := anyTime(t, "a"), anyTime(t, "b"), anyInt(t, "n")
		x, y := rat(a), rat(b)
		stands(t, new(big.Rat).Add(x, y), a.Plus(b))
		stands(t, new(big.Rat).Sub(x, y), a.Minus(b))
		stands(t, new(big.Rat).Neg(x), a.Neg())
		stands(t, new(big.Rat).Mul(x, whole(n)), a.Times(n))
		if n != 0 {
			stands(t, new(big.Rat).Quo(x, whole(n)), a.Over(n))
		}
		require.Equal(t, x.Cmp(y), a.Cmp(b))
		require.Equal(t, x.Cmp(y) < 0, a.Less(b))
		require.Equal(t, x.Sign(), a.Sign())
		require.Equal(t, x.IsInt(), a.IsWhole())
		require.Equal(t, x.RatString(), a.String())
		floor := new(big.Int).Div(x.Num(), x.Denom())
		require.EqualValues(t, floor.Int64(), a.Floor())
		if !x.IsInt() {
			floor.Add(floor, big.NewInt(1))
		}
		require.EqualValues(t, floor.Int64(), a.Ceil())
	})
}

// What is left of a bar, for bars and places there can be on a page.
func TestModAgainstFractionsWithoutBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := beat.Whole(rapid.IntRange(-1e6, 1e6).Draw(t, "a")).Over(rapid.IntRange(1, 1e4).Draw(t, "over"))
		length := beat.Whole(rapid.IntRange(1, 1e4).Draw(t, "length")).Over(rapid.IntRange(1, 1e4).Draw(t, "length over"))
		q := new(big.Rat).Quo(rat(a), rat(length))
		q.SetInt(new(big.Int).Div(q.Num(), q.Denom()))
		stands(t, q.Sub(rat(a), q.Mul(q, rat(length))), a.Mod(length))
	})
}

// At the ends nothing panics, and what comes out is a number.
func TestAnyModIsANumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		got := anyTime(t, "a").Mod(anyTime(t, "length"))
		require.Positive(t, got.Denom())
		require.LessOrEqual(t, math.Abs(got.Float()), 0x1p63)
	})
}

// The laws that a page relies on, where everything fits.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fine := func(name string) beat.Time {
			return beat.Whole(rapid.IntRange(-1e6, 1e6).Draw(t, name)).Over(rapid.IntRange(1, 1e3).Draw(t, name+" over"))
		}
		a, b, c, n := fine("a"), fine("b"), fine("c"), rapid.IntRange(1, 1e3).Draw(t, "n")
		require.Equal(t, a.Plus(b), b.Plus(a))
		require.Equal(t, a.Plus(b).Plus(c), a.Plus(b.Plus(c)))
		require.Equal(t, a, a.Plus(b).Minus(b))
		require.Equal(t, a, a.Over(n).Times(n), "shares of a brace make the brace")
		require.Equal(t, a.Plus(b).Times(n), a.Times(n).Plus(b.Times(n)))
		require.Equal(t, a.Less(b), a.Plus(c).Less(b.Plus(c)))
	})
}

// A decimal number with few digits is the fraction that it is written as, and
// any number comes back as it was.
func TestFloatsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, d := rapid.IntRange(-1e7, 1e7).Draw(t, "n"), rapid.IntRange(1, 1e4).Draw(t, "d")
		require.Equal(t, part(n, d), beat.FromFloat(float64(n)/float64(d)))
		x := rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
		require.InDelta(t, x, beat.FromFloat(x).Float(), math.Abs(x)*0x1p-52+0x1p-61)
		exact, _ := rat(part(n, d)).Float64()
		require.Equal(t, exact, part(n, d).Float(), "rounded once")
	})
}

func FuzzFromFloat(f *testing.F) {
	for _, x := range []float64{0, 1. / 3, math.Pi, 5e-324, math.MaxFloat64, math.Inf(-1), math.NaN(), 0x1p-62, 1 - 0x1p-53, -0x1p-60} {
		f.Add(x)
	}
	f.Fuzz(func(t *testing.T, x float64) {
		got := beat.FromFloat(x).Float()
		if want := max(-0x1p62, min(x, 0x1p62)); !math.IsNaN(x) {
			require.InDelta(t, want, got, math.Abs(want)*0x1p-52+0x1p-61)
		}
	})
}
