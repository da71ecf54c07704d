package perform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/score"
)

func clickTimes(sc *score.Score) (times []float64, accents []bool) {
	for _, c := range sc.Clicks {
		times = append(times, c.Start)
		accents = append(accents, c.Accent)
	}
	return times, accents
}

func TestCountIn(t *testing.T) {
	p := four()
	p.metre(3, 4, "1")
	sc := p.sounds(t, Settings{CountIn: 2, Tempo: 60})
	times, accents := clickTimes(sc)
	assert.InDeltaSlice(t, []float64{.015, 1.015, 2.015, 3.015, 4.015}, times, 1e-9, "two bars less the pick-up")
	assert.Equal(t, []bool{true, false, false, true, false}, accents)
	assert.InDelta(t, 5.015, sc.Notes[0].Start, 1e-9)

	bare := four().sounds(t, Settings{CountIn: 1, Tempo: 60})
	assert.Len(t, bare.Clicks, 4, "four beats where nothing says otherwise")
	assert.InDelta(t, 4.015, bare.Notes[0].Start, 1e-9)
}

// Without a metre a bar is as long as it is counted or, by bar lines, as most
// bars are; a short one before them is a pick-up.
func TestCountInByWhatThePageSays(t *testing.T) {
	for page, beats := range map[string]int{
		"tab: 4 5 6\ncount: 1 2 3\n":                3,
		"tab: 4 5\ncount: 1 2\n":                    4,
		"tab: 6 4 5 6\ncount: 3 1 2 3\n":            2,
		"4 -4 5 | 6 -6 5 | 4--\n":                   3,
		"6 | 4 -4 5 -5 | 6 6 6 6\n":                 3,
		"6 6 | 4 -4 5 -5\n":                         2,
		"|: 6 | 4 -4 5 -5 | 6 6 6 :|\n":             3,
		"4 5 6 7 | 4 5\n":                           4,
		"4 5 6 | 4 5 6 | 4 5 6 7 | 4 5 6 | 4 5 6\n": 3,
	} {
		sc, problems := Perform(tab.Parse(page, tab.Options{}), Settings{CountIn: 1, Tempo: 60})
		require.NotNil(t, sc, problems)
		times, accents := clickTimes(sc)
		assert.Len(t, times, beats, page)
		assert.InDelta(t, float64(beats), sc.Notes[0].Start-times[0], 1e-9, page)
		assert.True(t, accents[0], page)
	}
}

func TestCountInToHalfABeat(t *testing.T) {
	p := newPage()
	p.blow(4, "1/2")
	p.blow(5, "4")
	p.metre(4, 4, "1/2")
	times, _ := clickTimes(p.sounds(t, Settings{CountIn: 1, Tempo: 60, Click: true}))
	assert.InDeltaSlice(t, []float64{.015, 1.015, 2.015, 3.015, 4.015, 5.015, 6.015, 7.015}, times, 1e-9)
}

func TestClick(t *testing.T) {
	p := four()
	p.metre(3, 4, "1")
	times, accents := clickTimes(p.sounds(t, Settings{Click: true, Tempo: 60, Repeat: 2, From: &Bound{Beat: 1}}))
	assert.InDeltaSlice(t, []float64{.015, 1.015, 2.015, 3.015, 4.015, 5.015, 6.015, 7.015}, times, 1e-9)
	assert.Equal(t, []bool{true, false, false, true, true, false, false, true}, accents)
	assert.Empty(t, p.sounds(t, Settings{}).Clicks)

	_, accents = clickTimes(four().sounds(t, Settings{Click: true}))
	assert.Equal(t, []bool{false, false, false, false, false}, accents, "nothing says where beat one is")
}

func TestClickOfAShortBar(t *testing.T) {
	p := four()
	p.piece.Bars = []beat.Time{rat("0"), rat("5/2"), rat("9/2")}
	for from, want := range map[float64][]float64{0: {0, 1, 2, 2.5, 3.5, 4.5}, 2.25: {.25, 1.25, 2.25}} {
		times, _ := clickTimes(p.sounds(t, Settings{Click: true, Tempo: 60, From: &Bound{Beat: from}}))
		lead := times[0] - want[0]
		for i := range times {
			times[i] -= lead
		}
		assert.InDeltaSlice(t, want, times, 1e-9, "from %g", from)
	}
}

func TestCountInWithoutBars(t *testing.T) {
	sc := four().sounds(t, Settings{CountIn: 1, From: &Bound{Beat: 1}})
	assert.Len(t, sc.Clicks, 4)
}
