package spectrum

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/synth/measure"
	"reedlark/synth/reed/spectrum/recorded"
)

// registers are the lowest reed of the lowest harp, G3, notes between, and the
// highest reed of an F# harp, Hz.
var registers = []float64{98.00, 130.81, 196.00, 261.63, 392.00, 523.25, 783.99, 1046.50, 1567.98, 2093.00, 2959.96}

// audible is how many partials of a reed lie under 12 kHz, 128 at most.
func audible(hz float64) int { return min(128, int(12000/hz)) }

// near says how close the model comes to a file of notes, by another hand's
// distance than the fit's: that of the partials above the fundamental, and of all.
func near(t *testing.T, path string) (upper, all map[string]float64) {
	t.Helper()
	notes, err := recorded.Open(path)
	require.NoError(t, err)
	upper, all = map[string]float64{}, map[string]float64{}
	for _, n := range notes {
		levels := Levels(n.Hz, len(n.Levels)+1, Colour{})
		upper[n.Name] = measure.Distance(levels[1:], n.Levels)
		all[n.Name] = measure.Distance(levels, append([]float64{0}, n.Levels...))
	}
	return upper, all
}

// Five notes of FluidR3 GM: 5.0 dB in the mean and 6.5 for any, with a little
// to spare for the sound made from the levels.
func TestNearRecordedNotes(t *testing.T) {
	upper, all := near(t, "testdata/recorded.txt")
	for _, d := range []map[string]float64{upper, all} {
		mean := 0.0
		for _, name := range []string{"E4", "C5", "E5", "C6", "E6"} {
			require.Contains(t, d, name)
			require.Less(t, d[name], 6.2, name)
			mean += d[name] / 5
		}
		require.Less(t, mean, 4.9)
	}
}

// Another player's notes, never fitted: the model must not be further from
// them than one that knows only that partials fall by 6 dB an octave.
func TestUnseenNotesNearerThanAPlainSlope(t *testing.T) {
	upper, _ := near(t, "testdata/unseen.txt")
	require.Len(t, upper, 5)
	notes, err := recorded.Open("testdata/unseen.txt")
	require.NoError(t, err)
	model, plain := 0.0, 0.0
	for _, n := range notes {
		slope := make([]float64, len(n.Levels))
		for i := range slope {
			slope[i] = -20 * math.Log10(float64(i+2))
		}
		model += upper[n.Name] / 5
		plain += measure.Distance(slope, n.Levels) / 5
	}
	require.Less(t, model, plain-0.1)
	require.Less(t, model, 8.2)
}

// The levels against the formulas of the package comment in the standard
// library's functions.
func TestLevelsAreThoseOfTheFormulas(t *testing.T) {
	m := Fitted()
	peak := func(f, at, q float64) float64 { return 1 / (1 + math.Pow(q*(f/at-at/f), 2)) }
	db := func(hz, k float64) float64 {
		f := hz * k
		level := -10*math.Log10(1+math.Pow(k/2, 2)) - 10*math.Log10(1+math.Pow(f/m.RollOff, 8))
		if math.Mod(k, 2) == 0 {
			level -= m.Even * math.Sqrt(2/k)
		}
		return level + m.Cavity*(peak(f, 1750, 2)+peak(f, 5250, 6))
	}
	for _, hz := range registers {
		for i, level := range Levels(hz, audible(hz), Colour{}) {
			require.InDelta(t, db(hz, float64(i+1))-db(hz, 1), level, 1e-9, "%g Hz, partial %d", hz, i+1)
		}
	}
}

func TestLevelsAreSaneAtAnyPitchAndColour(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hz := rapid.Float64Range(50, 4000).Draw(t, "hz")
		c := Colour{
			Draw: rapid.Bool().Draw(t, "draw"), Over: rapid.Bool().Draw(t, "over"),
			Accent:    rapid.Float64Range(-20, 20).Draw(t, "accent"),
			BentCents: rapid.Float64Range(-200, 600).Draw(t, "bent"),
		}
		levels := Levels(hz, audible(hz), c)
		require.Len(t, levels, audible(hz))
		require.Zero(t, levels[0])
		for i, level := range levels {
			if !(level > -120 && level < 15) {
				t.Fatalf("partial %d at %g dB", i+1, level)
			}
		}
	})
	require.Empty(t, Levels(440, 0, Colour{}))
}

// Above 6 kHz odd partials, and even ones, fall among themselves by more than
// the 6 dB an octave of the source.
func TestLevelsFallTowardsTheTop(t *testing.T) {
	compared := 0
	for _, hz := range registers {
		levels := Levels(hz, audible(hz), Colour{})
		for k := int(6000/hz) + 1; k+2 <= len(levels); k++ {
			octaves := math.Log2(float64(k+2) / float64(k))
			require.Less(t, levels[k+1], levels[k-1]-6*octaves, "%g Hz, partial %d", hz, k)
			compared++
		}
	}
	require.Greater(t, compared, 100)
}

// Odd partials are the strong ones, most plainly near the fundamental.
func TestEvenPartialsAreWeak(t *testing.T) {
	for _, hz := range registers[:8] {
		l := Levels(hz, 12, Colour{})
		require.Less(t, l[1], l[2], "%g Hz", hz)
		require.Less(t, l[3], l[4], "%g Hz", hz)
		require.Less(t, l[1]-(l[0]+l[2])/2, -5.0, "%g Hz", hz)
	}
}

// No level of a recording may sit in the product: the package holds no list of
// numbers, and reads none.
func TestNoTableOfLevels(t *testing.T) {
	names, err := filepath.Glob("*.go")
	require.NoError(t, err)
	files := 0
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		files++
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		for _, imported := range file.Imports {
			require.Contains(t, []string{`"math"`, `"reedlark/synth/dsp"`}, imported.Path.Value, name)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			lit, ok := n.(*ast.CompositeLit)
			require.False(t, ok && len(lit.Elts) > 4, "%s: a list of more than four values", name)
			return true
		})
	}
	require.Equal(t, 2, files)
}
