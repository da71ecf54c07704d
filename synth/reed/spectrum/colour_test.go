package spectrum

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// changes calls f with what colour c does to each partial above the third, in
// every register.
func changes(t *testing.T, plain, c Colour, f func(change float64, at string)) {
	t.Helper()
	for _, hz := range registers {
		n := max(audible(hz), 4)
		was, is := Levels(hz, n, plain), Levels(hz, n, c)
		for k := 4; k <= n; k++ {
			f(is[k-1]-was[k-1], fmt.Sprintf("%g Hz, partial %d", hz, k))
		}
	}
}

// Players' recordings show 4 to 8 dB. Common practice, no source.
func TestTenDecibelsOfBreathBrighten(t *testing.T) {
	for _, from := range []float64{-10, -3, 0, 4} {
		changes(t, Colour{Accent: from}, Colour{Accent: from + 10}, func(change float64, at string) {
			require.GreaterOrEqual(t, change, 4.0, at)
			require.LessOrEqual(t, change, 8.0, at)
		})
	}
}

// 3 to 6 dB duller at any depth of bend a harp has, and the deeper the duller.
// Common practice, no source.
func TestBendsAreDuller(t *testing.T) {
	last := 0.0
	for _, cents := range []float64{100, 200, 300, 400} {
		changes(t, Colour{Draw: true}, Colour{Draw: true, BentCents: cents}, func(change float64, at string) {
			require.LessOrEqual(t, change, -3.0, at)
			require.GreaterOrEqual(t, change, -6.0, at)
		})
		b := Colour{BentCents: cents}.brightness()
		require.Less(t, b, last)
		last = b
	}
}

// A bend's colour must grow with its depth without a step, since a glide
// passes every depth.
func TestBendColourIsSmooth(t *testing.T) {
	for c := 0.0; c < 600; c++ {
		step := Colour{BentCents: c + 1}.brightness() - Colour{BentCents: c}.brightness()
		require.Less(t, step, 0.0)
		require.Greater(t, step, -0.1)
	}
	require.Equal(t, Colour{}.brightness(), Colour{BentCents: -50}.brightness(), "above its reed nothing is bent")
}

// "A shade": more than a just noticeable 0.5 dB, less than 3. Common practice,
// no source.
func TestDrawIsAShadeBrighter(t *testing.T) {
	changes(t, Colour{}, Colour{Draw: true}, func(change float64, at string) {
		require.Greater(t, change, 0.5, at)
		require.Less(t, change, 3.0, at)
	})
}

// Purer: the fundamental holds more of the power than in a plain note.
// Thinner: there is less power beside it. Common practice, no source.
func TestOversAreThinnerAndPurer(t *testing.T) {
	for _, hz := range registers {
		plain, over := power(hz, Colour{}), power(hz, Colour{Over: true})
		require.Less(t, over, 0.75*plain, "%g Hz", hz)
	}
}

// power is that of the partials above the fundamental, relative to it.
func power(hz float64, c Colour) float64 {
	sum := 0.0
	for _, level := range Levels(hz, audible(hz), c)[1:] {
		sum += math.Pow(10, level/10)
	}
	return sum
}
