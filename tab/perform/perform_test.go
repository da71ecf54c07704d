package perform

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/score"
)

const millisecond = 0.001

// holes lists hole and breath of each note, draws negative.
func holes(notes []score.Note) (out []int) {
	for _, n := range notes {
		hole := n.Voices[0].Hole
		if n.Voices[0].Breath == score.Draw {
			hole = -hole
		}
		out = append(out, hole)
	}
	return out
}

func roles(notes []score.Note) (out []score.Role) {
	for _, n := range notes {
		out = append(out, n.Role)
	}
	return out
}

func onsets(notes []score.Note) (out []score.Onset) {
	for _, n := range notes {
		out = append(out, n.Onset)
	}
	return out
}

// At 120 beats a minute a beat is half a second, so the third note of a tune
// in beats starts a second after the first, whatever lay between.
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
	assert.Equal(t, "5", sc.Beats.RatString())
}

// Ten thousand thirds of a beat end where 3333 beats and a third do: nothing
// drifts.
func TestNothingDrifts(t *testing.T) {
	p := newPage()
	for range 10000 {
		p.blow(4, "1/3")
	}
	sc := p.sounds(t, Settings{Tempo: 400})
	last := sc.Notes[9999]
	assert.InDelta(t, .015+9999./3*60/400, last.Start, 1e-11)
	assert.Equal(t, "3333", last.StartBeat.RatString())
}

// With the first half of the beat at 0.6, the second note starts at 0.6 beats
// and lasts 0.4; its written beats stay.
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
	assert.Equal(t, "1/2", sc.Notes[1].StartBeat.RatString())
	assert.Equal(t, "1/2", sc.Notes[1].Beats.RatString())
}

// A beat in two halves of which the second is halved again keeps its shape: the
// quarter lies in the middle of what the moved half leaves.
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

func TestSlideThroughHoles(t *testing.T) {
	p := newPage()
	p.slide(p.draw(7, "1"))
	p.draw(4, "1")
	sc := p.sounds(t, Settings{})
	assert.Equal(t, []int{-7, -6, -5, -4}, holes(sc.Notes))
	assert.Equal(t, []score.Role{"melody", "slide", "slide", "melody"}, roles(sc.Notes))
	assert.Equal(t, []score.Onset{score.FromSilence, score.Passed, score.Passed, score.Passed}, onsets(sc.Notes))
	land := sc.Notes[3]
	assert.InDelta(t, .615, land.Start, 1e-9, "the landing is on its beat")
	for i, n := range sc.Notes[1:3] {
		assert.Equal(t, 4, n.Column, "at the arrow")
		assert.Equal(t, "->", n.Text)
		assert.Equal(t, 2, n.Length)
		assert.Zero(t, n.Beats.Sign())
		assert.True(t, n.Seconds >= .025 && n.Seconds <= .060, "a hole takes 25 to 60 ms")
		assert.InDelta(t, sc.Notes[i+2].Start, n.Start+n.Seconds, 1e-9)
	}
	assert.InDelta(t, .6-.090, sc.Notes[0].Seconds, 1e-9)
	assert.Zero(t, sc.Notes[0].Gap)
	assert.Equal(t, "1", sc.Notes[0].Beats.RatString())
}

// A slide takes at most half of the note it leaves.
func TestSlideFromAShortNote(t *testing.T) {
	p := newPage()
	p.slide(p.blow(1, "1/4"))
	p.blow(9, "1")
	sc := p.sounds(t, Settings{Tempo: 120})
	assert.Equal(t, []int{1, 2, 3, 4, 5, 6, 7, 8, 9}, holes(sc.Notes))
	assert.InDelta(t, .0625, sc.Notes[0].Seconds, 1e-9)
	assert.InDelta(t, .140, sc.Notes[8].Start, 1e-9)
}

// The lowest hole of a chord leads, on the breath of the note left.
func TestSlideOfChords(t *testing.T) {
	p := newPage()
	p.slide(p.note("-45", tab.Draw, []int{4, 5}, "1"))
	p.note("87", tab.Blow, []int{8, 7}, "1")
	sc := p.sounds(t, Settings{})
	assert.Equal(t, []int{-4, -5, -6, 7}, holes(sc.Notes))
	assert.Len(t, sc.Notes[1].Voices, 1)
	assert.Equal(t, 8, sc.Notes[3].Voices[1].Hole)
}

func TestGlideOnOneHole(t *testing.T) {
	for _, c := range []struct{ from, to, midiFrom, midiTo int }{{2, 0, 69, 71}, {0, 2, 71, 69}, {1, 3, 70, 68}} {
		p := newPage()
		p.slide(p.draw(3, "2", bent(c.from)))
		p.draw(3, "1", bent(c.to))
		sc := p.sounds(t, Settings{Bends: Direct})
		require.Len(t, sc.Notes, 3)
		glide, land := sc.Notes[1], sc.Notes[2]
		assert.Equal(t, score.Slide, glide.Role)
		assert.InDelta(t, hz(c.midiFrom), glide.Voices[0].FromHz, .01)
		assert.InDelta(t, hz(c.midiTo), glide.Voices[0].Hz, .01)
		assert.Equal(t, glide.Seconds, glide.Voices[0].GlideSeconds)
		assert.True(t, glide.Seconds >= .1 && glide.Seconds <= .3, "100 to 300 ms")
		assert.Equal(t, land.Voices[0].Hz, land.Voices[0].FromHz, "a landing does not scoop")
		assert.Equal(t, []score.Onset{score.FromSilence, score.Tied, score.Tied}, onsets(sc.Notes))
		assert.InDelta(t, 1.215, land.Start, 1e-9)
	}
}

// hz is the MIDI Tuning Standard, at A4 = 440.
func hz(midi int) float64 { return 440 * math.Pow(2, float64(midi-69)/12) }

// A chord of which one hole goes on glides that hole, and is struck anew.
func TestGlideOfPartOfAChord(t *testing.T) {
	p := newPage()
	p.slide(p.note("-23", tab.Draw, []int{2, 3}, "1"))
	p.draw(2, "1", bent(2))
	sc := p.sounds(t, Settings{})
	assert.Len(t, sc.Notes[1].Voices, 1)
	assert.Equal(t, []score.Onset{score.FromSilence, score.Passed, score.Passed}, onsets(sc.Notes))
}

// A slide is as loud as the note it leaves, and what is not equally loud is not
// one sound.
func TestSlideOutOfBrackets(t *testing.T) {
	p := newPage()
	p.slide(p.blow(4, "1", role(tab.Filler)))
	p.slide(p.blow(6, "1", role(tab.Filler)))
	p.blow(6, "1", bent(1))
	sc, _ := p.play(Settings{})
	assert.Equal(t, []int{4, 5, 6, 6, 6}, holes(sc.Notes))
	for i, gain := range []float64{-9, -9, -9, -9, 0} {
		assert.Equal(t, gain, sc.Notes[i].Gain, "note %d", i)
	}
	assert.Equal(t, score.Passed, sc.Notes[4].Onset)
	sc, _ = p.play(Settings{Brackets: Full})
	assert.Equal(t, score.Tied, sc.Notes[4].Onset)
}

// A slide from nowhere starts up to three holes below; at the very start the
// sound gets that much lead-in.
func TestRip(t *testing.T) {
	for hole, way := range map[int][]int{6: {3, 4, 5, 6}, 3: {1, 2, 3}, 1: {1, 1}} {
		p := newPage()
		arrow := p.write("->")
		p.blow(hole, "1").SlideIn = &arrow
		sc := p.sounds(t, Settings{})
		assert.Equal(t, way, holes(sc.Notes))
		first, land := sc.Notes[0], sc.Notes[len(way)-1]
		assert.InDelta(t, .015, first.Start, 1e-9)
		assert.Equal(t, score.FromSilence, first.Onset)
		assert.Equal(t, 1, first.Column)
		assert.Equal(t, land.Voices[0].Hz, land.Voices[0].FromHz)
		assert.InDelta(t, land.Start+.6+.25, sc.Seconds, 1e-9)
		if hole == 1 {
			assert.Equal(t, score.Tied, land.Onset)
			assert.Less(t, first.Voices[0].FromHz, first.Voices[0].Hz)
		}
	}
}

func TestFall(t *testing.T) {
	p := newPage()
	n := p.draw(3, "1", bent(1))
	arrow := p.write(">")
	n.SlideOff = &arrow
	p.rest("1")
	p.blow(4, "1")
	sc := p.sounds(t, Settings{Bends: Direct})
	require.Len(t, sc.Notes, 3)
	fall := sc.Notes[1]
	assert.True(t, fall.Fades)
	assert.Equal(t, score.Tied, fall.Onset)
	assert.Equal(t, score.Slide, fall.Role)
	assert.InDelta(t, hz(70), fall.Voices[0].FromHz, .01)
	assert.InDelta(t, hz(68), fall.Voices[0].Hz, .01)
	assert.Equal(t, "Ab4", fall.Voices[0].Name)
	assert.InDelta(t, .615, fall.Start+fall.Seconds, 1e-9)
	assert.InDelta(t, 1.215, sc.Notes[2].Start, 1e-9)
}

// Graces sound before the beat, on time from the note before or from silence.
func TestGraces(t *testing.T) {
	p := newPage()
	p.grace(tab.Blow, 4)
	p.blow(5, "1")
	p.grace(tab.Draw, 4)
	p.grace(tab.Blow, 4)
	p.draw(6, "1/16")
	p.grace(tab.Blow, 3)
	p.blow(6, "1")
	sc := p.sounds(t, Settings{})
	assert.Equal(t, []int{4, 5, -4, 4, -6, 3, 6}, holes(sc.Notes))
	for i, start := range map[int]float64{0: .015, 1: .085, 2: .685 - .140, 4: .685, 6: .685 + .0375} {
		assert.InDelta(t, start, sc.Notes[i].Start, 1e-9, "note %d", i)
	}
	short := sc.Notes[4]
	assert.InDelta(t, .0375/2, short.Seconds, 1e-9, "a grace takes at most half of the note before")
	for _, n := range []score.Note{sc.Notes[0], sc.Notes[2], sc.Notes[5]} {
		assert.Equal(t, score.Grace, n.Role)
		assert.Zero(t, n.Beats.Sign())
		assert.Equal(t, -9.0, n.Gain)
		assert.Zero(t, n.Accent)
	}
	assert.Equal(t, "17/16", sc.Notes[6].StartBeat.RatString())
}

func TestBrackets(t *testing.T) {
	build := func() *page {
		p := newPage()
		p.blow(4, "1")
		p.blow(5, "2", role(tab.Filler))
		p.grace(tab.Draw, 5)
		p.blow(6, "1")
		return p
	}
	soft := build().sounds(t, Settings{})
	assert.Equal(t, -9.0, soft.Notes[1].Gain)
	assert.Equal(t, score.Filler, soft.Notes[1].Role)
	full := build().sounds(t, Settings{Brackets: Full})
	assert.Zero(t, full.Notes[1].Gain)
	skip := build().sounds(t, Settings{Brackets: Skip})
	assert.Equal(t, []int{4, 6}, holes(skip.Notes))
	assert.Equal(t, "3", skip.Notes[1].StartBeat.RatString(), "the melody stays in time")
	assert.InDelta(t, full.Notes[len(full.Notes)-1].Start, skip.Notes[1].Start, 1e-9)
	assert.Equal(t, score.FromSilence, skip.Notes[1].Onset)
}

// A slide to filler that is left out is left out with it; one to a grace that
// is left out goes on to its note.
func TestSlidesToWhatIsSkipped(t *testing.T) {
	p := newPage()
	p.slide(p.blow(4, "1"))
	p.blow(7, "1", role(tab.Filler))
	p.slide(p.blow(4, "1"))
	p.grace(tab.Blow, 9)
	p.blow(6, "1")
	sc := p.sounds(t, Settings{Brackets: Skip})
	assert.Equal(t, []int{4, 4, 5, 6}, holes(sc.Notes))

	p = newPage()
	p.slide(p.blow(4, "1"))
	p.grace(tab.Blow, 9)
	p.blow(7, "1", role(tab.Filler))
	p.blow(6, "1")
	assert.Equal(t, []int{4, 6}, holes(p.sounds(t, Settings{Brackets: Skip}).Notes))
}

// A player falls into a bent note from the unbent reed, well before 40 % of it.
func TestBendsGlide(t *testing.T) {
	p := newPage()
	p.draw(3, "2", bent(2))
	p.draw(3, "1", bent(1))
	p.draw(3, "1", bent(1))
	p.draw(3, "1/8", bent(3), comma())
	p.draw(2, "1")
	p.blow(4, "1", over())
	sc := p.sounds(t, Settings{})
	from := []int{71, 69, 70, 71, 67, 75}
	to := []int{69, 70, 70, 68, 67, 75}
	for i, n := range sc.Notes {
		v := n.Voices[0]
		assert.InDelta(t, hz(from[i]), v.FromHz, .01, "note %d", i)
		assert.InDelta(t, hz(to[i]), v.Hz, .01, "note %d", i)
		assert.LessOrEqual(t, v.GlideSeconds, .12)
		assert.Less(t, v.GlideSeconds, .4*n.Seconds)
		assert.Equal(t, v.FromHz != v.Hz, v.GlideSeconds > 0)
	}
	assert.GreaterOrEqual(t, sc.Notes[0].Voices[0].GlideSeconds, .04)
	assert.InDelta(t, hz(71), sc.Notes[0].Voices[0].ReedHz, .01)
	for _, n := range p.sounds(t, Settings{Bends: Direct}).Notes {
		assert.Equal(t, n.Voices[0].Hz, n.Voices[0].FromHz)
	}
}

func TestOnsetsAndGaps(t *testing.T) {
	p := newPage()
	p.blow(4, "1")
	p.blow(5, "1")
	p.blow(5, "1")
	p.draw(5, "1")
	p.draw(6, "1", comma())
	p.rest("1")
	p.draw(6, "1/32")
	p.draw(6, "1")
	sc := p.sounds(t, Settings{})
	assert.Equal(t, []score.Onset{
		score.FromSilence, score.Legato, score.Tongued, score.NewBreath, score.NewBreath, score.FromSilence, score.Tongued,
	}, onsets(sc.Notes))
	between := func(note int, low, high float64) {
		assert.True(t, sc.Notes[note].Gap >= low && sc.Notes[note].Gap <= high, "gap after note %d: %g", note, sc.Notes[note].Gap)
	}
	between(0, 0, 0)
	between(1, .015, .040)
	between(2, .020, .060)
	between(3, .020, .060)
	between(4, 0, 0)
	between(5, millisecond, .6/32/4)
}

// Beat one is the strongest, then the other beats, then what lies between.
func TestAccents(t *testing.T) {
	p := newPage()
	p.blow(4, "1")
	p.blow(5, "1/2")
	p.blow(6, "1/2")
	p.blow(4, "1")
	p.metre(2, 4, "1")
	sc := p.sounds(t, Settings{})
	assert.Greater(t, sc.Notes[1].Accent, sc.Notes[0].Accent)
	assert.Greater(t, sc.Notes[0].Accent, sc.Notes[2].Accent)
	assert.Equal(t, sc.Notes[0].Accent, sc.Notes[3].Accent)
	assert.Zero(t, sc.Notes[2].Accent)

	for _, n := range four().sounds(t, Settings{}).Notes {
		assert.Equal(t, sc.Notes[0].Accent, n.Accent, "nothing says where beat one is")
	}
}

func TestShakeGoesThrough(t *testing.T) {
	p := newPage()
	p.note("45~", tab.Blow, []int{4, 5}, "1", shake())
	assert.True(t, p.sounds(t, Settings{}).Notes[0].Shake)
}

func four() *page {
	p := newPage()
	p.blow(4, "1")
	p.draw(4, "1")
	p.blow(5, "2")
	p.blow(6, "1")
	return p
}

func TestFromTo(t *testing.T) {
	p := four()
	sc := p.sounds(t, Settings{From: &Bound{Beat: 1}, To: &Bound{Beat: 3}, Tempo: 60})
	assert.Equal(t, []int{-4, 5}, holes(sc.Notes))
	assert.Equal(t, "1", sc.Notes[0].StartBeat.RatString())
	assert.Equal(t, "1", sc.Notes[1].Beats.RatString(), "cut at to")
	assert.InDelta(t, .015, sc.Notes[0].Start, 1e-9)
	assert.InDelta(t, 2.265, sc.Seconds, 1e-9)
	assert.Equal(t, "2", sc.Beats.RatString())

	late := p.sounds(t, Settings{From: &Bound{Beat: 2.5}, Tempo: 60})
	assert.Equal(t, []int{6}, holes(late.Notes), "what began before is not heard")
	assert.InDelta(t, 1.5, late.Notes[0].Start, 1e-9, "a part that starts with silence needs no lead-in")
}

// Beats as a decimal number with the few digits a score shows.
func TestFromARoundedBeat(t *testing.T) {
	p := newPage()
	for range 4 {
		p.blow(4, "1/3")
	}
	sc := p.sounds(t, Settings{From: &Bound{Beat: .666667}, To: &Bound{Beat: .999999}})
	require.Len(t, sc.Notes, 1)
	assert.Equal(t, "2/3", sc.Notes[0].StartBeat.RatString())
	assert.Equal(t, "1/3", sc.Notes[0].Beats.RatString())
}

// A piece of three lines, the second played again at the end: 2 3 2.
func lines() *page {
	p := newPage()
	for _, hole := range []int{4, 5, 6, 5} {
		p.blow(hole, "2")
	}
	for i, line := range []int{2, 3, 5, 3} {
		p.piece.Marks = append(p.piece.Marks,
			tab.Mark{Line: line, At: rat([]string{"0", "2", "4", "6"}[i])},
			tab.Mark{Line: line, At: rat([]string{"2", "4", "6", "8"}[i]), Leave: true})
	}
	return p
}

func TestFromToLines(t *testing.T) {
	cases := []struct {
		from, to int
		holes    []int
	}{
		{0, 0, []int{4, 5, 6, 5}},
		{3, 0, []int{5, 6, 5}},
		{0, 3, []int{4, 5}},
		{3, 3, []int{5}},
		{5, 3, []int{6, 5}},
		{2, 5, []int{4, 5, 6}},
	}
	for _, c := range cases {
		s := Settings{}
		if c.from > 0 {
			s.From = &Bound{Line: c.from}
		}
		if c.to > 0 {
			s.To = &Bound{Line: c.to}
		}
		assert.Equal(t, c.holes, holes(lines().sounds(t, s).Notes), "from line %d to %d", c.from, c.to)
	}
	mixed := lines().sounds(t, Settings{From: &Bound{Beat: 4}, To: &Bound{Line: 3}})
	assert.Equal(t, []int{6, 5}, holes(mixed.Notes))
}

func TestEmptyParts(t *testing.T) {
	cases := map[string]Settings{
		"backwards":        {From: &Bound{Beat: 3}, To: &Bound{Beat: 2}},
		"nothing":          {From: &Bound{Beat: 3}, To: &Bound{Beat: 3}},
		"after the end":    {From: &Bound{Beat: 8}},
		"no number":        {From: &Bound{Beat: math.NaN()}},
		"lines backwards":  {From: &Bound{Line: 5}, To: &Bound{Line: 2}},
		"no line of tab":   {From: &Bound{Line: 4}},
		"no such line":     {To: &Bound{Line: 99}},
		"line after beats": {From: &Bound{Beat: 2}, To: &Bound{Line: 2}},
	}
	for name, s := range cases {
		sc, problems := lines().play(s)
		assert.Nil(t, sc, name)
		require.Len(t, problems, 1, name)
		assert.Equal(t, diag.Error, problems[0].Severity, name)
		assert.Equal(t, diag.RangeEmpty, problems[0].Code, name)
	}
}

func TestASilentPart(t *testing.T) {
	p := newPage()
	p.blow(4, "1")
	p.rest("4")
	sc, problems := p.play(Settings{From: &Bound{Beat: 2}, To: &Bound{Beat: 4}, Tempo: 60})
	require.Len(t, problems, 1)
	assert.Equal(t, diag.Warning, problems[0].Severity)
	assert.Equal(t, diag.RangeSilent, problems[0].Code)
	assert.Empty(t, sc.Notes)
	assert.InDelta(t, 2.25, sc.Seconds, 1e-9)
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
	assert.Equal(t, "6", sc.Beats.RatString())
	assert.InDelta(t, 6.265, sc.Seconds, 1e-9)
	assert.Equal(t, score.NewBreath, sc.Notes[3].Onset, "no gap between the rounds, but a breath")
}

// A grace at the start of a later round is taken from the note before.
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

// A slide does not lead out of the part that is played.
func TestSlideAtTheCut(t *testing.T) {
	p := newPage()
	p.slide(p.blow(4, "1"))
	p.blow(7, "1")
	sc := p.sounds(t, Settings{To: &Bound{Beat: 1}, Repeat: 2})
	assert.Equal(t, []int{4, 4}, holes(sc.Notes))
	sc = p.sounds(t, Settings{From: &Bound{Beat: 1}})
	assert.Equal(t, []int{7}, holes(sc.Notes))
	assert.Equal(t, score.FromSilence, sc.Notes[0].Onset)
}

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

// Half a beat of pick-up is counted in on the beats, not on the halves.
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

// A bar that comes sooner than a beat is over starts its own beats.
func TestClickOfAShortBar(t *testing.T) {
	p := four()
	p.piece.Bars = []*big.Rat{rat("0"), rat("5/2"), rat("9/2")}
	for from, want := range map[float64][]float64{0: {0, 1, 2, 2.5, 3.5, 4.5}, 2.25: {.25, 1.25, 2.25}} {
		times, _ := clickTimes(p.sounds(t, Settings{Click: true, Tempo: 60, From: &Bound{Beat: from}}))
		lead := times[0] - want[0]
		for i := range times {
			times[i] -= lead
		}
		assert.InDeltaSlice(t, want, times, 1e-9, "from %g", from)
	}
}

// Where nobody says what a bar is, a part that starts anywhere gets four beats.
func TestCountInWithoutBars(t *testing.T) {
	sc := four().sounds(t, Settings{CountIn: 1, From: &Bound{Beat: 1}})
	assert.Len(t, sc.Clicks, 4)
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

func TestWhatNoReedCanDo(t *testing.T) {
	p := newPage()
	p.draw(7, "1", bent(1))
	p.draw(3, "1", bent(4))
	p.note("-34/", tab.Draw, []int{3, 4}, "1", bent(2))
	p.blow(7, "1", over())
	p.blow(2, "1", over())
	p.draw(3, "1", bent(3))
	p.blow(4, "1", over())
	p.piece.Events = append(p.piece.Events, p.piece.Events...) // a repeat is not told twice
	sc, problems := p.play(Settings{Tempo: 400})
	require.Len(t, problems, 5)
	want := []diag.Problem{
		{Severity: diag.Warning, Code: diag.BendTooDeep, Span: diag.Span{Start: 0, End: 2}},
		{Severity: diag.Warning, Code: diag.BendTooDeep, Span: diag.Span{Start: 3, End: 5}, Hint: "bend it by three semitones at most"},
		{Severity: diag.Warning, Code: diag.BendTooDeep, Span: diag.Span{Start: 6, End: 10}, Hint: "bend it by one semitone at most"},
		{Severity: diag.Warning, Code: diag.OverNone, Span: diag.Span{Start: 11, End: 13}, Hint: "the over of this hole is on the draw"},
		{Severity: diag.Note, Code: diag.OverRare, Span: diag.Span{Start: 14, End: 16}},
	}
	for i := range want {
		want[i].Message = problems[i].Message
		assert.NotEmpty(t, want[i].Message)
		assert.Equal(t, want[i], problems[i])
	}
	assert.Equal(t, 82, sc.Notes[0].Voices[0].Midi, "it sounds as written")
	assert.Equal(t, 67, sc.Notes[1].Voices[0].Midi)
}

func TestEighthsAreTold(t *testing.T) {
	p := four()
	p.metre(6, 8, "0")
	_, problems := p.play(Settings{Tempo: 80})
	require.Len(t, problems, 1)
	assert.Equal(t, diag.BeatIsEighth, problems[0].Code)
	assert.Contains(t, problems[0].Message, "240")
	p.sounds(t, Settings{Tempo: 100})
}

func TestPageChoosesTheHarp(t *testing.T) {
	at := diag.Span{Start: 6, End: 9}
	cases := []struct {
		harp, layout, tuning string
		isKey                bool
		want                 score.Harp
		codes                []diag.Code
	}{
		{"", "", "", false, score.Harp{Key: "C", Layout: "richter", Tuning: "equal"}, nil},
		{"low f", "Natural minor", "Just", false, score.Harp{Key: "low F", Layout: "natural-minor", Tuning: "just"}, nil},
		{"Bb, ten holes", "", "", false, score.Harp{Key: "Bb", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.HeaderRest}},
		{"H", "", "", false, score.Harp{Key: "C", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.HarpUnknown}},
		{"A", "wooden", "loud", false, score.Harp{Key: "A", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.HarpUnknown, diag.HarpUnknown}},
		{"A", "", "", true, score.Harp{Key: "A", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.KeyAsHarp}},
		{"Am", "", "", true, score.Harp{Key: "C", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.KeyNotRead}},
		{"G major", "", "", true, score.Harp{Key: "C", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.KeyNotRead}},
	}
	for _, c := range cases {
		p := four()
		p.doc.Head = tab.Head{Harp: tab.Field{Value: c.harp, Span: at}, IsKey: c.isKey, Layout: tab.Field{Value: c.layout, Span: at}, Tuning: tab.Field{Value: c.tuning, Span: at}}
		sc, problems := p.play(Settings{})
		c.want.A4 = 440
		assert.Equal(t, c.want, sc.Harp, "%+v", c)
		var codes []diag.Code
		for _, problem := range problems {
			codes = append(codes, problem.Code)
			assert.Equal(t, at, problem.Span)
		}
		assert.Equal(t, c.codes, codes, "%+v", c)
	}
}

func TestTheCallerWins(t *testing.T) {
	p := four()
	p.doc.Head = tab.Head{Harp: tab.Field{Value: "A"}, Layout: tab.Field{Value: "solo"}, Tuning: tab.Field{Value: "just"}, Tempo: 90, Title: "A tune"}
	key, err := harp.ParseKey("G")
	require.NoError(t, err)
	layout, err := harp.LayoutByName("country")
	require.NoError(t, err)
	sc := p.sounds(t, Settings{Harp: &key, Layout: &layout, Tuning: harp.Compromise, A4: 442, Tempo: 200, Position: 2})
	assert.Equal(t, score.Harp{Key: "G", Layout: "country", Tuning: "compromise", A4: 442}, sc.Harp)
	assert.Equal(t, 200.0, sc.Tempo)
	assert.Equal(t, "D", sc.SongKey)
	assert.Equal(t, 2, sc.Position)
	assert.Equal(t, "A tune", sc.Title)
	assert.Equal(t, 90.0, p.sounds(t, Settings{}).Tempo, "else the page")
}
