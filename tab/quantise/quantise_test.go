package quantise_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/beat"
	"reedlark/tab/quantise"
)

const seeds = 3

func quantised(t testing.TB, taps quantise.Taps) quantise.Rhythm {
	t.Helper()
	r, err := quantise.Quantise(taps)
	require.NoError(t, err)
	require.Len(t, r.Notes, len(taps.Onsets))
	return r
}

// Hands of 20 ms that drift by 3 % and lag by 45 ms, on tunes of our own.
func TestTunes(t *testing.T) {
	for name, c := range map[string]struct {
		given          func(*quantise.Taps, tune, []float64)
		factors        []beat.Time
		lengths, pages float64
	}{
		"tempo and metre": {func(in *quantise.Taps, one tune, _ []float64) {
			in.Tempo, in.Metre, in.Swing = one.tempo, one.metre, one.swing
		}, same, .98, .90},
		"tempo":            {func(in *quantise.Taps, one tune, _ []float64) { in.Tempo = one.tempo }, same, .98, .90},
		"clicks and metre": {func(in *quantise.Taps, one tune, clicks []float64) { in.Clicks, in.Metre = clicks, one.metre }, same, .98, .90},
		"nothing":          {func(*quantise.Taps, tune, []float64) {}, otherLevels, .97, .85},
	} {
		t.Run(name, func(t *testing.T) {
			var count tally
			for _, one := range tunes(t) {
				for seed := range uint64(seeds) {
					onsets, clicks := people.taps(one, seed)
					in := quantise.Taps{Onsets: onsets}
					c.given(&in, one, clicks)
					r, best := quantised(t, in), 0
					for _, factor := range c.factors {
						best = max(best, one.right(r, factor))
					}
					count.add(best, len(one.beats)-1)
					if best < len(one.beats)-1 {
						t.Logf("%s %d: %d of %d", one.name, seed, best, len(one.beats)-1)
					}
				}
			}
			lengths, pages := count.shares()
			t.Logf("%.4f of lengths, %.3f of pages", lengths, pages)
			assert.GreaterOrEqual(t, lengths, c.lengths, "lengths")
			assert.GreaterOrEqual(t, pages, c.pages, "pages")
		})
	}
}

var (
	same        = []beat.Time{beat.Whole(1)}
	otherLevels = []beat.Time{beat.Whole(1), half, beat.Whole(2), beat.Whole(3), beat.Whole(1).Over(3)}
)

// The first notes of a tune, with nothing said: there is little to go by.
func TestOpenings(t *testing.T) {
	var count tally
	for _, one := range tunes(t) {
		for _, n := range []int{6, 8, 12} {
			opening := one
			opening.beats = one.beats[:n]
			for seed := range uint64(seeds) {
				onsets, _ := people.taps(opening, seed)
				r, best := quantised(t, quantise.Taps{Onsets: onsets}), 0
				for _, factor := range otherLevels {
					best = max(best, opening.right(r, factor))
				}
				count.add(best, n-1)
			}
		}
	}
	lengths, pages := count.shares()
	t.Logf("%.4f of lengths, %.3f of openings", lengths, pages)
	assert.GreaterOrEqual(t, lengths, .95, "lengths")
	assert.GreaterOrEqual(t, pages, .85, "openings")
}

// Notes that are said to be right nine times in ten are.
func TestConfidence(t *testing.T) {
	unsteady := hand{noise: .035, drift: .04}
	var said, right, all float64
	for _, one := range tunes(t) {
		for seed := range uint64(seeds) {
			onsets, _ := unsteady.taps(one, seed)
			r := quantised(t, quantise.Taps{Onsets: onsets, Tempo: one.tempo, Metre: one.metre})
			for i, want := range one.beats[:len(one.beats)-1] {
				all++
				said += r.Notes[i].Confidence
				if r.Notes[i].Beats == want {
					right++
				}
			}
		}
	}
	t.Logf("said %.3f, right %.3f", said/all, right/all)
	assert.InDelta(t, right/all, said/all, .03)
	assert.Less(t, right/all, .999, "hands this unsteady err")
}

func at(period float64, beats ...float64) []float64 {
	out := make([]float64, len(beats))
	for i, b := range beats {
		out[i] = 1.5 + b*period
	}
	return out
}

func TestReadings(t *testing.T) {
	four := quantise.Metre{Beats: 4, Unit: 4}
	for name, c := range map[string]struct {
		taps quantise.Taps
		want []string // beats and rest
	}{
		"one note fills its bar":     {quantise.Taps{Onsets: []float64{3}, Tempo: 100, Metre: four}, []string{"4"}},
		"the last until it was left": {quantise.Taps{Onsets: at(.5, 0, 1, 2), Ends: append(at(.5, 1, 2), 1.5+2.5+.02), Tempo: 120, Metre: four}, []string{"1", "1", "3"}},
		"halves":                     {quantise.Taps{Onsets: at(.5, 0, 1, 1.5, 2, 3), Tempo: 120, Metre: four}, []string{"1", "1/2", "1/2", "1", "1"}},
		"thirds":                     {quantise.Taps{Onsets: at(.6, 0, 1, 4./3, 5./3, 2, 3), Tempo: 100, Metre: four}, []string{"1", "1/3", "1/3", "1/3", "1", "1"}},
		"quarters":                   {quantise.Taps{Onsets: at(.8, 0, .75, 1, 1.25, 1.5, 1.75, 2, 3), Tempo: 75, Metre: four}, []string{"3/4", "1/4", "1/4", "1/4", "1/4", "1/4", "1", "1"}},
		"a rest":                     {quantise.Taps{Onsets: at(.5, 0, 1, 3), Ends: at(.5, .9, 2.05, 4), Tempo: 120, Metre: four}, []string{"1", "1 1", "1"}},
		"a long silence":             {quantise.Taps{Onsets: at(.5, 0, 1, 2, 3, 4, 24, 25), Tempo: 120, Metre: four}, []string{"1", "1", "1", "1", "20", "1", "3"}},
		"clicks win over a tempo":    {quantise.Taps{Onsets: at(.5, 0, 1, 1.5, 2), Clicks: at(.5, -2, -1), Tempo: 60, Metre: four}, []string{"1", "1/2", "1/2", "2"}},
	} {
		t.Run(name, func(t *testing.T) {
			var got []string
			for _, n := range quantised(t, c.taps).Notes {
				s := n.Beats.String()
				if n.Rest.Sign() > 0 {
					s += " " + n.Rest.String()
				}
				got = append(got, s)
			}
			assert.Equal(t, c.want, got)
		})
	}
}

// Bar lines of the page say where a bar begins; here they tell a pick-up of one
// from a first beat.
func TestBarLinesOfThePage(t *testing.T) {
	taps := quantise.Taps{Onsets: at(.5, 0, 1, 2, 3, 4, 5, 6, 7), Tempo: 120, Metre: quantise.Metre{Beats: 4, Unit: 4}}
	assert.Equal(t, "0", quantised(t, taps).Pickup.String())
	taps.Bars = []int{-1, 1, 0, 0, 0, 1, 0, 0}
	assert.Equal(t, "1", quantised(t, taps).Pickup.String())
}

// Late halves are swing, and are written straight.
func TestSwing(t *testing.T) {
	for _, one := range tunes(t) {
		if one.swing == .5 {
			continue
		}
		onsets, _ := hand{noise: .01}.taps(one, 1)
		r := quantised(t, quantise.Taps{Onsets: onsets, Tempo: one.tempo, Metre: one.metre})
		assert.InDelta(t, one.swing, r.Swing, .04, one.name)
		assert.Equal(t, len(one.beats)-1, one.right(r, beat.Whole(1)), one.name)
	}
}

// Without a tempo the level of the beat is a guess, so there is another.
func TestRunnerUp(t *testing.T) {
	for _, one := range tunes(t) {
		onsets, _ := people.taps(one, 1)
		assert.Nil(t, quantised(t, quantise.Taps{Onsets: onsets, Tempo: one.tempo}).RunnerUp)
		r := quantised(t, quantise.Taps{Onsets: onsets})
		require.NotNil(t, r.RunnerUp, one.name)
		ratio := r.Tempo / r.RunnerUp.Tempo
		assert.Greater(t, math.Max(ratio, 1/ratio), 1.2, one.name)
	}
}

// A tempo that was missed is followed, and told.
func TestAnotherTempoThanGiven(t *testing.T) {
	one := tunes(t)[0]
	for _, factor := range []float64{.75, 1.3} {
		given := one.tempo
		one.tempo *= factor
		onsets, _ := people.taps(one, 3)
		r := quantised(t, quantise.Taps{Onsets: onsets, Tempo: given, Metre: one.metre})
		assert.InEpsilon(t, one.tempo, r.Tempo, .06)
		assert.Equal(t, len(one.beats)-1, one.right(r, beat.Whole(1)))
		one.tempo = given
	}
}

func TestRefused(t *testing.T) {
	for name, c := range map[string]struct {
		taps quantise.Taps
		want error
	}{
		"no note":      {quantise.Taps{}, quantise.ErrTooFew},
		"equal onsets": {quantise.Taps{Onsets: []float64{1, 1}}, quantise.ErrOrder},
		"not a number": {quantise.Taps{Onsets: []float64{0, math.NaN()}}, quantise.ErrOrder},
		"endless":      {quantise.Taps{Onsets: []float64{0, math.Inf(1)}}, quantise.ErrOrder},
		"clicks":       {quantise.Taps{Onsets: []float64{0, 1}, Clicks: []float64{2, 1}}, quantise.ErrOrder},
	} {
		_, err := quantise.Quantise(c.taps)
		assert.ErrorIs(t, err, c.want, name)
	}
}

// Whatever rises gives a rhythm whose notes follow each other without a gap.
func FuzzQuantise(f *testing.F) {
	f.Add([]byte{50, 50, 25, 25, 100}, uint8(120))
	f.Add([]byte{1, 255, 0, 255, 255, 255, 255, 255, 255}, uint8(0))
	f.Fuzz(func(t *testing.T, gaps []byte, tempo uint8) {
		if len(gaps) > 200 {
			return
		}
		in := quantise.Taps{Onsets: []float64{0}, Ends: []float64{.001}}
		for i, g := range gaps {
			scale := math.Pow(10, float64(i%7)-4)
			in.Onsets = append(in.Onsets, in.Onsets[i]+(float64(g)+1)*scale)
			in.Ends = append(in.Ends, in.Onsets[i+1]+float64(g)*scale)
		}
		if tempo >= beat.MinTempo {
			in.Tempo = float64(tempo)
		}
		r := quantised(t, in)
		at := beat.Time{}
		for i, n := range r.Notes {
			require.Equal(t, at, n.Start, "note %d", i)
			require.Positive(t, n.Beats.Sign(), "note %d", i)
			require.GreaterOrEqual(t, n.Rest.Sign(), 0, "note %d", i)
			at = at.Plus(n.Beats).Plus(n.Rest)
		}
	})
}

func BenchmarkQuantise(b *testing.B) {
	for name, rounds := range map[string]int{"64 notes": 2, "640 notes": 20} {
		one := tunes(b)[0]
		base := one.beats
		one.beats = nil
		for range rounds {
			one.beats = append(one.beats, base...)
		}
		onsets, _ := people.taps(one, 1)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				quantised(b, quantise.Taps{Onsets: onsets, Tempo: one.tempo, Metre: one.metre})
			}
		})
	}
}
