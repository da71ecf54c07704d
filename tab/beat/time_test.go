package beat_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/beat"
)

// part is so many of equal parts of a beat.
func part(n, of int) beat.Time { return beat.Whole(n).Over(of) }

func TestReckoning(t *testing.T) {
	third, half := part(1, 3), part(1, 2)
	for want, got := range map[string]beat.Time{
		"0": {}, "5/6": third.Plus(half), "-1/6": third.Minus(half), "1": third.Times(3), "2/3": third.Times(2), "1/12": third.Over(4),
		"-1/3": third.Over(-1), "-2": half.Times(-4), "7/2": part(-7, -2), "-7/3": part(7, -3), "1/2": beat.Max(third, half), "1/3": beat.Min(half, third),
		"3": part(-12, -4), "4/3": part(100, 75), "-5": beat.Whole(5).Neg(),
	} {
		assert.Equal(t, want, got.String())
	}
	assert.Equal(t, beat.Whole(1), third.Times(3), "one value, one form")
	assert.True(t, beat.Time{} == half.Minus(half))
}

// Left over of a bar are the beats into it, also before the first bar.
func TestMod(t *testing.T) {
	for _, c := range []struct{ a, length, want beat.Time }{
		{part(7, 2), beat.Whole(3), part(1, 2)},
		{beat.Whole(6), beat.Whole(3), beat.Time{}},
		{part(-1, 2), beat.Whole(4), part(7, 2)},
		{beat.Whole(-4), beat.Whole(4), beat.Time{}},
		{beat.Whole(1), part(2, 3), part(1, 3)},
		{beat.Whole(5), beat.Time{}, beat.Whole(5)},
		{beat.Whole(5), beat.Whole(-2), beat.Whole(5)},
	} {
		assert.Equal(t, c.want, c.a.Mod(c.length), "%s of %s", c.a, c.length)
	}
}

func TestWholeBeats(t *testing.T) {
	for _, c := range []struct {
		a           beat.Time
		floor, ceil int
	}{
		{beat.Time{}, 0, 0},
		{part(1, 2), 0, 1},
		{part(-1, 2), -1, 0},
		{beat.Whole(3), 3, 3},
		{beat.Whole(-3), -3, -3},
		{part(-7, 3), -3, -2},
		{beat.Whole(math.MinInt), -math.MaxInt, -math.MaxInt},
	} {
		assert.Equal(t, c.floor, c.a.Floor(), c.a.String())
		assert.Equal(t, c.ceil, c.a.Ceil(), c.a.String())
	}
	assert.True(t, part(4, 2).IsWhole())
	assert.False(t, part(1, 2).IsWhole())
}

func TestOrder(t *testing.T) {
	far := beat.Whole(math.MaxInt)
	ascending := []beat.Time{far.Neg(), beat.Whole(-1), part(-1, 3), {}, part(1, math.MaxInt), part(1, 3), part(math.MaxInt-1, math.MaxInt), beat.Whole(1), part(math.MaxInt, 2), far}
	for i, a := range ascending {
		for k, b := range ascending {
			assert.Equal(t, i < k, a.Less(b), "%s and %s", a, b)
		}
	}
}

// A share of nothing is nothing, and what is too large is held.
func TestTheEnds(t *testing.T) {
	far := beat.Whole(math.MaxInt)
	assert.Equal(t, beat.Time{}, beat.Whole(1).Over(0))
	assert.Equal(t, far, far.Plus(far))
	assert.Equal(t, far, far.Times(math.MaxInt))
	assert.Equal(t, far.Neg(), far.Times(math.MinInt))
	assert.Equal(t, far.Neg(), far.Neg().Minus(far))
	assert.Equal(t, far.Neg(), far.Neg().Minus(beat.Whole(1)))
	assert.Equal(t, far.Neg(), beat.Whole(-1<<62).Times(2))
	assert.Equal(t, far, far.Plus(part(1, 2)), "a half is lost on so many")
	assert.Equal(t, beat.Time{}, beat.Whole(1).Over(math.MinInt), "under half a grain")
	assert.Equal(t, beat.Time{}, beat.Time{}.Over(math.MinInt))
	assert.Equal(t, part(1, beat.Grain), part(1, math.MaxInt).Plus(part(3, 4*beat.Grain)))
}

func TestFromFloat(t *testing.T) {
	for x, want := range map[float64]string{
		0: "0", 0.1: "1/10", 0.66: "33/50", 2. / 3: "2/3", 1.333333: "1333333/1000000", -0.75: "-3/4", 1000.1: "10001/10", math.Pi: "245850922/78256779",
		97.3: "973/10", 1e-300: "0", -1e-300: "0", 0x1p62: "4611686018427387904", 1e300: "4611686018427387904", -1e300: "-4611686018427387904",
	} {
		assert.Equal(t, want, beat.FromFloat(x).String())
	}
	assert.Equal(t, beat.Time{}, beat.FromFloat(math.NaN()))
	assert.Equal(t, beat.FromFloat(1e300), beat.FromFloat(math.Inf(1)))
}

func TestNothingIsAllocated(t *testing.T) {
	a, b := part(7, 3), part(-5, 48)
	sink := beat.Time{}
	require.Zero(t, testing.AllocsPerRun(100, func() {
		sink = a.Plus(b).Times(3).Over(5).Mod(b.Neg())
	}))
	require.True(t, sink.Less(a))
}

func ExampleTime() {
	third := beat.Whole(1).Over(3)
	at := beat.Whole(4).Plus(third)
	fmt.Println(at, at.Float(), third.Times(3) == beat.Whole(1))
	fmt.Println(at.Mod(beat.Whole(4)), "into its bar of four")
	// Output:
	// 13/3 4.333333333333333 true
	// 1/3 into its bar of four
}
