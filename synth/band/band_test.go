package band

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/dsp"
	"reedlark/synth/reed"
)

var timbres = []Timbre{
	{Plucked, 73.42, 48000},
	{Plucked, 164.81, 22050},
	{Soft, 174.61, 48000},
	{Soft, 466.16, 44100},
}

// TestTableIsItsSum: a table is the sum of the standard library's sines, its
// power as a meter weighs it is 1, and its peak is the highest of its points.
func TestTableIsItsSum(t *testing.T) {
	for _, timbre := range timbres {
		tab := Build(timbre)
		power, peak := 0.0, 0.0
		for i := range points {
			want := 0.0
			for k, l := range tab.Lines {
				n := float64(k + 1)
				want += l.Amplitude * math.Sin(2*math.Pi*(n*float64(i)/points+Turns(k+1)))
			}
			require.InDelta(t, want, float64(tab.own[i]), 1e-4)
			peak = max(peak, math.Abs(want))
		}
		for _, l := range tab.Lines {
			power += l.Power()
		}
		assert.InDelta(t, 1, power, 1e-12)
		assert.GreaterOrEqual(t, tab.OwnPeak, peak-1e-6)
		assert.Less(t, tab.OwnPeak, 1.02*peak)
		assert.LessOrEqual(t, tab.Lines[len(tab.Lines)-1].Hz, float64(topSoft))
	}
}

// TestShares: the edge's power, and what it has in common with the whole.
func TestShares(t *testing.T) {
	tab := Build(timbres[0])
	own, edge, both := 0.0, 0.0, 0.0
	a, b := weighed(&tab.own, timbres[0]), weighed(&tab.edge, timbres[0])
	for i := range a {
		own, edge, both = own+a[i]*a[i], edge+b[i]*b[i], both+a[i]*b[i]
	}
	assert.InDelta(t, both/own, tab.Weighted.Common, 0.01)
	assert.InDelta(t, edge/own, tab.Weighted.Dark, 0.02)
	assert.Greater(t, edge, 0.0)
	for k := 1; k < 30; k++ {
		_, turns := math.Modf(crest*float64(k*k)/(2*math.Pi) + start)
		assert.InDelta(t, 0, math.Mod(Turns(k)-turns+1.5, 1)-0.5, 1.0/points, "the phase of harmonic %d", k)
	}
	assert.Zero(t, Build(timbres[2]).EdgePeak, "what is held has no edge")
}

func notes() map[string]*Note {
	out := map[string]*Note{}
	for name, frames := range map[string]int64{"long": 60000, "": 3000, "short": 130, "least": 1} {
		for i, timbre := range timbres {
			kind := []string{"string ", "", "tone ", ""}[i]
			if kind != "" {
				out[kind+name] = &Note{
					First: 101, End: 101 + frames, Rate: float64(timbre.Rate), Gain: 1,
					Kind: timbre.Kind, Step: dsp.Step(timbre.Hz, float64(timbre.Rate)), Table: Build(timbre),
				}
			}
		}
	}
	return out
}

// TestPartContract holds both voices to the contract of reed.Part: finite,
// bounded, at rest at both ends, and the same bits in whatever pieces they are
// played or skipped.
func TestPartContract(t *testing.T) {
	for name, n := range notes() {
		t.Run(name, func(t *testing.T) {
			from, to := n.Span()
			whole := make([]float32, to-from)
			last := n.Play(whole, 0, from, nil)
			for _, v := range whole {
				require.LessOrEqual(t, math.Abs(float64(v)), 1.01*(n.Table.OwnPeak+n.Table.EdgePeak))
			}
			assert.Less(t, math.Abs(float64(whole[0])), 1e-3)
			assert.Less(t, math.Abs(float64(whole[len(whole)-1])), 0.06)
			for _, segments := range []int64{1, 2, 7, 16} {
				pieces, phase := make([]float32, len(whole)), uint32(0)
				for at := from; at < to; {
					stop := min((at/(segments*reed.Segment)+1)*segments*reed.Segment, to)
					require.Equal(t, phase, n.Advance(0, from, at), "skipped to %d", at)
					phase = n.Play(pieces[at-from:stop-from], phase, at, nil)
					at = stop
				}
				require.Equal(t, whole, pieces, "in pieces of %d segments", segments)
				require.Equal(t, last, phase)
			}
		})
	}
}

// TestPlayDoesNotAllocate, as a voice must not.
func TestPlayDoesNotAllocate(t *testing.T) {
	for name, n := range notes() {
		out := make([]float32, n.End-n.First)
		assert.Zero(t, testing.AllocsPerRun(3, func() { n.Play(out, 0, n.First, nil) }), name)
	}
}

// TestStringsDieAway: the plucked voice sinks and darkens, the held one stays.
func TestStringsDieAway(t *testing.T) {
	n := notes()["string long"]
	early, edge := n.at(n.First + 2000)
	late, lateEdge := n.at(n.First + 40000)
	assert.Less(t, late, early/2)
	assert.Less(t, lateEdge/late, edge/early/10)
	n = notes()["tone long"]
	early, _ = n.at(n.First + 5000)
	late, _ = n.at(n.First + 50000)
	assert.Equal(t, early, late)
	assert.Equal(t, 1.0, late)
}

// TestNoDirection: over the notes of a bass there is next to no DC.
func TestNoDirection(t *testing.T) {
	sum := 0.0
	for midi := 38; midi <= 52; midi++ {
		hz := 440 * math.Pow(2, float64(midi-69)/12)
		n := &Note{End: 36000, Rate: 48000, Gain: 1, Step: dsp.Step(hz, 48000), Table: Build(Timbre{Plucked, hz, 48000})}
		out := make([]float32, n.End)
		n.Play(out, 0, 0, nil)
		for _, x := range out {
			sum += float64(x) / float64(len(out)) / 15
		}
	}
	assert.InDelta(t, 0, sum, 1e-3)
}

// weighed is a second of a wave as a loudness meter filters it, after another to settle.
func weighed(w *wave, t Timbre) []float64 {
	out := make([]float32, 2*t.Rate)
	ramp(out, w, 0, dsp.Step(t.Hz, float64(t.Rate)), 1, 0)
	filter := dsp.NewWeighting(float64(t.Rate)).Filter()
	x := make([]float64, len(out))
	for i, v := range out {
		x[i] = filter.Next(float64(v))
	}
	return x[t.Rate:]
}
