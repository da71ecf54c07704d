package api_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
	"reedlark/synth/measure"
)

// heldOut are traditional tunes that nobody looked at while the amounts were chosen.
// All are in the public domain; some have a metre.
var heldOut = map[string]string{
	"mary had a little lamb": "Metre: 4/4\nTempo: 110\n5 -4 4 -4 5 5 5-\n-4 -4 -4- 5 6 6-\n5 -4 4 -4 5 5 5 5\n-4 -4 5 -4 4---\n",
	"lightly row":            "Tempo: 100\n6 5 5- -5 -4 -4-\n4 -4 5 -5 6 6 6-\n6 5 5- -5 -4 -4-\n4 5 6 6 5---\n",
	"this old man":           "Metre: 2/4\nTempo: 96\n6 5 6- 6 5 6-\n-6 6 -5 5 -4 5 -5-\n{5 -5} 6 4 {4 4} {4 -4} {5 -5} 6\n6 -4 {-4 -5} {5 -4} 4-\n",
	"jingle bells":           "Metre: 4/4\nTempo: 130\n5 5 5- 5 5 5-\n5 6 4 -4 5---\n-5 -5 -5 -5 -5 5 5 5\n5 -4 -4 5 -4- 6-\n",
	"clementine":             "Metre: 3/4\nTempo: 108\n{4 4} 4 3 {5 5} 5 4\n{4 5} 6 6 {-5 5} -4-\n{-4 5} -5 -5 {5 -4} 5 4\n{4 5} -4 3 {-3 -4} 4-\n",
	"camptown races":         "Tempo: 112\n6 6 5 6 -6 6 5-\n5 -4- 5 -4-\n6 6 5 6 -6 6 5-\n-4 {5 -4} 4---\n",
}

// phrases are the melody notes of a score, divided where the page has a new line
// or a rest of half a second. common practice, no source.
func phrases(s openapi.Score) (out [][]openapi.Note) {
	for i, n := range s.Notes {
		if n.Role != "melody" {
			continue
		}
		last := len(out) - 1
		if last < 0 || n.Line != s.Notes[i-1].Line || n.Start-s.Notes[i-1].Start-s.Notes[i-1].Seconds > 0.5 {
			out = append(out, nil)
			last++
		}
		out[last] = append(out[last], n)
	}
	return out
}

// level is the RMS of a note after its attack, dB.
func (h heard) level(n openapi.Note) float64 {
	return measure.DB(measure.RMS(measure.Cut(h.mono(), h.rate, n.Start+0.05, n.Start+max(0.7*n.Seconds, 0.1))))
}

func deviation(x []float64) float64 {
	mean, sum := measure.DC(x), 0.0
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(x)))
}

func median(x []float64) float64 {
	x = slices.Clone(x)
	slices.Sort(x)
	return x[len(x)/2]
}

// The levels of a tune spread by 1.2 to 2.2 dB (standard deviation), and the two
// loudest notes of a phrase lie 3 to 5 dB over its first and its last, in the median
// of all phrases of five notes or more, with and without a metre.
// ref: N. Todd, "The dynamics of dynamics", JASA 91(6), 1992; A. Friberg, R. Bresin & J.
// Sundberg, Advances in Cognitive Psychology 2, 2006; by ear: the amounts.
func TestPhrasesAreShaped(t *testing.T) {
	for name, page := range heldOut {
		h := hear(t, page, "phrasing", "played")
		var arches, all []float64
		for _, phrase := range phrases(h.score) {
			var levels []float64
			for _, n := range phrase {
				levels = append(levels, h.level(n))
			}
			all = append(all, levels...)
			if last := len(levels) - 1; last >= 4 {
				ends := (levels[0] + levels[last]) / 2
				slices.Sort(levels)
				arches = append(arches, (levels[last]+levels[last-1])/2-ends)
			}
		}
		spread, arch := deviation(all), median(arches)
		t.Logf("%s: levels spread by %.2f dB, arches of %.2f dB", name, spread, arch)
		assert.Truef(t, spread >= 1.2 && spread <= 2.2, "%s: levels spread by %.2f dB", name, spread)
		assert.Truef(t, arch >= 3 && arch <= 5, "%s: arches of %.1f dB", name, arch)
	}
}

// Every single note that is struck is heard (-10 dB re its level 60 to 160 ms later)
// within 3 ms of its beat, by 1 ms or less apart (standard deviation), however it is
// shaped: learners copy what they hear.
func TestPlayedOnTheBeat(t *testing.T) {
	for name, page := range heldOut {
		h := hear(t, page, "phrasing", "played")
		var off []float64
		for i, n := range h.score.Notes {
			if n.Seconds < 0.2 || len(n.Voices) > 1 || !struck(h.score.Notes, i) {
				continue
			}
			level := measure.RMS(measure.Cut(h.mono(), h.rate, n.Start+0.06, n.Start+0.16))
			off = append(off, 1000*(h.envelope(n.Voices[0].Hz).Rise(n.Start-0.02, 0.3162*level)-n.Start))
		}
		require.Greater(t, len(off), 5, name)
		t.Logf("%s: %d notes %.2f to %.2f ms, spread by %.2f", name, len(off), slices.Min(off), slices.Max(off), deviation(off))
		assert.Less(t, max(slices.Max(off), -slices.Min(off)), 3.0, name)
		assert.LessOrEqual(t, deviation(off), 1.0, name)
	}
}

// struck says that a note does not go on from another hole on the same breath.
func struck(notes []openapi.Note, i int) bool {
	if i == 0 {
		return true
	}
	a, b := notes[i-1], notes[i]
	touch := b.Start-a.Start-a.Seconds < 0.001
	return !touch || a.Voices[0].Breath != b.Voices[0].Breath || a.Voices[0].Hole == b.Voices[0].Hole || a.Line != b.Line
}

// The last note of a phrase is silent 60 to 120 ms before its time is over, a quarter
// of it at most. ref: A. Friberg et al., 2006 (J. Sundberg's punctuation).
func TestPhrasesEndEarly(t *testing.T) {
	for page, notes := range map[string][]int{
		"Tempo: 60\n5 6 7-- , 4 5\n-4 -5 -6-\nr 6 5 4": {2, 4, 7, 10},
		"Tempo: 150\n5 6 7- , {4 5}\n-4":               {2, 4, 5},
	} {
		h := hear(t, page, "phrasing", "played")
		for _, i := range notes {
			n := h.score.Notes[i]
			end := n.Start + n.Seconds
			env := h.envelope(n.Voices[0].Hz)
			silent := end - env.Fall(n.Start+0.6*n.Seconds, env.At(n.Start+0.55*n.Seconds)/100)
			t.Logf("%s of %.2f s: %.0f ms", n.Text, n.Seconds, 1000*silent)
			assert.GreaterOrEqual(t, silent, min(0.060, 0.12*n.Seconds), n.Text)
			assert.LessOrEqual(t, silent, min(0.120, 0.26*n.Seconds), n.Text)
		}
	}
}

// Equal notes at the same place of equal rows, and of two rounds, differ in their
// envelopes by -34 to -18 dB in the median; plain ones do not.
func TestNoTwoNotesAlike(t *testing.T) {
	row := "4 5 -4 6 5 -5 -4 4-\n"
	again := map[string]string{"rows": "Tempo: 105\n" + row + row + row, "rounds": "Tempo: 105\n" + row + "6 5 4\n"}
	for name, page := range again {
		for _, phrasing := range []string{"played", "plain"} {
			h := hear(t, page, "phrasing", phrasing, "repeat", "3")
			period := 8
			if name == "rounds" {
				period = 11
			}
			var differ []float64
			for i := 0; i+period < len(h.score.Notes); i++ {
				a, b := h.score.Notes[i], h.score.Notes[i+period]
				if a.Text != b.Text || math.Abs(a.Seconds-b.Seconds) > 1e-6 {
					continue
				}
				env := h.envelope(a.Voices[0].Hz)
				both, off := 0.0, 0.0
				for t := 0.0; t < a.Seconds; t += 0.001 {
					x, y := env.At(a.Start+t), env.At(b.Start+t)
					both, off = both+x*x+y*y, off+(x-y)*(x-y)
				}
				differ = append(differ, 10*math.Log10(2*off/both))
			}
			got := median(differ)
			t.Logf("%s, %s: %.1f dB of %d", name, phrasing, got, len(differ))
			if phrasing == "plain" {
				assert.Less(t, got, -32.0, name)
				continue
			}
			assert.Truef(t, got >= -34 && got <= -18, "%s: %.1f dB", name, got)
		}
	}
}
