package perform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/score"
)

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
	assert.Equal(t, "1", sc.Notes[0].Beats.String())
}

func TestSlideFromAShortNote(t *testing.T) {
	p := newPage()
	p.slide(p.blow(1, "1/4"))
	p.blow(9, "1")
	sc := p.sounds(t, Settings{Tempo: 120})
	assert.Equal(t, []int{1, 2, 3, 4, 5, 6, 7, 8, 9}, holes(sc.Notes))
	assert.InDelta(t, .0625, sc.Notes[0].Seconds, 1e-9)
	assert.InDelta(t, .140, sc.Notes[8].Start, 1e-9)
}

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

func TestGlideOfPartOfAChord(t *testing.T) {
	p := newPage()
	p.slide(p.note("-23", tab.Draw, []int{2, 3}, "1"))
	p.draw(2, "1", bent(2))
	sc := p.sounds(t, Settings{})
	assert.Len(t, sc.Notes[1].Voices, 1)
	assert.Equal(t, []score.Onset{score.FromSilence, score.Passed, score.Passed}, onsets(sc.Notes))
}

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

func TestGraces(t *testing.T) {
	p := newPage()
	p.grace(tab.Blow, 4)
	p.blow(5, "1")
	p.grace(tab.Draw, 4)
	p.grace(tab.Blow, 4)
	p.draw(6, "1/16")
	p.grace(tab.Blow, 3)
	p.blow(6, "1")
	sc := p.sounds(t, Settings{Phrasing: Plain})
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
	assert.Equal(t, "17/16", sc.Notes[6].StartBeat.String())
}

// A grace that bends the reed of its note is let go, not struck again: the
// pitch rises from it without a gap, whatever brackets do to its level. Common
// practice, no source.
func TestBentGraceIsLetGo(t *testing.T) {
	for _, brackets := range []Brackets{Soft, Full} {
		p := newPage()
		p.grace(tab.Draw, 3).Bend = 1
		p.draw(3, "1")
		p.grace(tab.Draw, 3).Bend = 3
		p.draw(3, "1", bent(1))
		p.grace(tab.Draw, 3)
		p.draw(3, "1", bent(1))
		sc := p.sounds(t, Settings{Brackets: brackets})
		assert.Equal(t, []score.Onset{
			score.FromSilence, score.Tied, score.Tongued, score.Tied, score.Tongued, score.Tongued,
		}, onsets(sc.Notes), "a plain grace is struck")
		for i, from := range map[int]int{1: 70, 3: 68} {
			v := sc.Notes[i].Voices[0]
			assert.InDelta(t, hz(from), v.FromHz, .01)
			assert.True(t, v.GlideSeconds >= .04 && v.GlideSeconds <= .12, "takes %g s", v.GlideSeconds)
			assert.Zero(t, sc.Notes[i-1].Gap)
		}
		direct := p.sounds(t, Settings{Brackets: brackets, Bends: Direct})
		assert.Equal(t, score.Tongued, direct.Notes[1].Onset)
	}
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
	assert.Equal(t, "3", skip.Notes[1].StartBeat.String(), "the melody stays in time")
	assert.InDelta(t, full.Notes[len(full.Notes)-1].Start, skip.Notes[1].Start, 1e-9)
	assert.Equal(t, score.FromSilence, skip.Notes[1].Onset)
}

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

// What falls or rises is one sound alone: the same note stays where it is before
// and after.
func TestSlidesLeaveOtherNotesAlone(t *testing.T) {
	p := newPage()
	p.draw(1, "1", bent(1))
	risen := p.draw(1, "1", bent(1))
	arrow := p.write(">")
	risen.SlideIn, risen.SlideOff = &arrow, &arrow
	p.draw(1, "1", bent(1))
	notes := p.sounds(t, Settings{Bends: Direct}).Notes
	require.Len(t, notes, 5)
	for _, i := range []int{0, 2, 4} {
		assert.InDelta(t, hz(61), notes[i].Voices[0].Hz, .01, "draw 1 is D4; note %d", i)
		assert.InDelta(t, hz(61), notes[i].Voices[0].FromHz, .01, "note %d", i)
	}
}
