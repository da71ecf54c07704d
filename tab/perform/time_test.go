package perform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/chord"
	"reedlark/tab/diag"
	"reedlark/tab/score"
)

func TestTempo(t *testing.T) {
	p := newPage()
	p.blow(4, "1")
	p.draw(4, "1/3")
	p.blow(5, "2/3")
	p.blow(6, "2")
	p.rest("1")
	sc := p.sounds(t, Settings{Tempo: 120})
	var starts, lengths []float64
	for _, n := range sc.Notes {
		starts = append(starts, n.Start)
		lengths = append(lengths, n.Seconds)
	}
	assert.InDeltaSlice(t, []float64{.015, .515, .515 + .5/3, 1.015}, starts, 1e-9)
	assert.InDeltaSlice(t, []float64{.5, .5 / 3, 1. / 3, 1}, lengths, 1e-9)
	assert.InDelta(t, .015+2.5+.25, sc.Seconds, 1e-9)
	assert.Equal(t, "5", sc.Beats.String())
}

func TestNothingDrifts(t *testing.T) {
	p := newPage()
	for range 10000 {
		p.blow(4, "1/3")
	}
	sc := p.sounds(t, Settings{Tempo: 400})
	last := sc.Notes[9999]
	assert.InDelta(t, .015+9999./3*60/400, last.Start, 1e-11)
	assert.Equal(t, "3333", last.StartBeat.String())
}

func TestSwing(t *testing.T) {
	p := newPage()
	p.blow(4, "1/2")
	p.blow(5, "1/2", swung())
	p.blow(6, "1/2")
	p.blow(5, "1/2")
	sc := p.sounds(t, Settings{Tempo: 60, Swing: .6})
	for i, want := range []float64{0, .6, 1, 1.5} {
		assert.InDelta(t, .015+want, sc.Notes[i].Start, 1e-9)
	}
	assert.InDelta(t, .6, sc.Notes[0].Seconds, 1e-9)
	assert.InDelta(t, .4, sc.Notes[1].Seconds, 1e-9)
	assert.Equal(t, "1/2", sc.Notes[1].StartBeat.String())
	assert.Equal(t, "1/2", sc.Notes[1].Beats.String())
}

func TestSwingOfAHalvedHalf(t *testing.T) {
	p := newPage()
	p.blow(4, "1/2")
	p.blow(5, "1/4", swung())
	p.blow(6, "1/4")
	p.blow(7, "1")
	sc := p.sounds(t, Settings{Tempo: 60, Swing: .6})
	for i, want := range []float64{0, .6, .8, 1} {
		assert.InDelta(t, .015+want, sc.Notes[i].Start, 1e-9)
	}
}

func TestRepeat(t *testing.T) {
	p := newPage()
	p.blow(4, "1")
	p.grace(tab.Blow, 3)
	p.blow(5, "1")
	sc := p.sounds(t, Settings{Repeat: 3, Tempo: 60})
	assert.Equal(t, []int{4, 3, 5, 4, 3, 5, 4, 3, 5}, holes(sc.Notes))
	for i, n := range sc.Notes {
		assert.Equal(t, sc.Notes[i%3].StartBeat, n.StartBeat, "start_beat begins anew")
		assert.InDelta(t, sc.Notes[i%3].Start+float64(i/3*2), n.Start, 1e-9)
	}
	assert.Equal(t, "6", sc.Beats.String())
	assert.InDelta(t, 6.265, sc.Seconds, 1e-9)
	assert.Equal(t, score.NewBreath, sc.Notes[3].Onset, "no gap between the rounds, but a breath")
}

func TestRepeatWithAGraceAtTheStart(t *testing.T) {
	p := newPage()
	p.grace(tab.Blow, 3)
	p.blow(4, "1")
	sc := p.sounds(t, Settings{Repeat: 2, Tempo: 60})
	assert.InDelta(t, .085, sc.Notes[1].Start, 1e-9)
	assert.InDelta(t, 1.085, sc.Notes[3].Start, 1e-9)
	assert.InDelta(t, .93, sc.Notes[1].Seconds, 1e-9)
	assert.InDelta(t, 2.335, sc.Seconds, 1e-9)
}

func TestLimits(t *testing.T) {
	p := newPage()
	p.blow(4, "256")
	_, problems := p.play(Settings{Tempo: 20, Repeat: 2})
	require.Len(t, problems, 1)
	assert.Equal(t, diag.SoundTooLong, problems[0].Code)
	assert.Contains(t, problems[0].Message, "25:36", "512 beats at 20 a minute")
	_, problems = p.play(Settings{Repeat: 32, MaxNotes: 31})
	assert.Equal(t, diag.TooManyPlayed, problems[0].Code)
	p.sounds(t, Settings{Tempo: 400, Repeat: 2})
}

// A band plays at least four notes a chord, and no more than the harp may.
func TestLimitOfChords(t *testing.T) {
	p := four()
	for _, at := range []string{"0", "1/2", "1", "3/2"} {
		p.piece.Chords = append(p.piece.Chords, tab.Change{At: rat(at), Chord: chord.Chord{Tones: []int{0, 4, 7}}})
	}
	_, problems := p.play(Settings{Backing: Chords, Repeat: 6, MaxNotes: 95})
	require.Len(t, problems, 1)
	assert.Equal(t, diag.TooManyPlayed, problems[0].Code)
	assert.Contains(t, problems[0].Message, "24 chords, and the limit is 23")
	p.sounds(t, Settings{Backing: Chords, Repeat: 6, MaxNotes: 96})
	p.sounds(t, Settings{Backing: Chords, Repeat: 6, MaxNotes: 48, From: &Bound{Beat: 1}})
	p.sounds(t, Settings{Repeat: 6, MaxNotes: 95})
	_, problems = p.play(Settings{Repeat: 6, MaxNotes: 23})
	require.NotEmpty(t, problems)
}
