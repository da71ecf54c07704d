package perform

import (
	"math"
	"slices"

	"reedlark/tab/harp"
	"reedlark/tab/score"
)

// How long slides last where there is time enough, seconds. ref: common
// practice, no source, but for the fall: by ear.
const (
	holeTime  = 0.045 // a hole passed: 25 to 60 ms
	glideTime = 0.200 // a slide of pitch on one hole: 100 to 300 ms
	fallTime  = 0.180
)

// ripHoles is how many holes a slide from nowhere passes on its way up. by ear.
const ripHoles = 3

// between adds a slide from one note to another. On one hole and one breath it is
// a glide of pitch, else the holes between are passed on the breath of the note
// left; the lowest hole of a chord leads.
func (p *player) between(out *sounds, from, to *step) link {
	a, z := lowest(from), lowest(to)
	if a == z && from.note.Breath == to.note.Breath {
		return p.glide(out, from, to)
	}
	by := 1
	if z < a {
		by = -1
	}
	for hole := a + by; a != z && hole != z; hole += by {
		p.pass(out, from, hole, from.slide)
	}
	return passed
}

// glide adds a move of pitch of the holes that both notes have. Where the notes are
// one sound throughout, so is the glide.
func (p *player) glide(out *sounds, from, to *step) link {
	s := p.slideSound(out, from, from.slide, glideTime)
	old, next := p.voices(from.note), p.voices(to.note)
	for _, v := range next {
		if u := sameHole(old, v); u != nil {
			v.FromHz = u.Hz
			s.Voices = append(s.Voices, v)
		}
	}
	whole := len(s.Voices) == len(old) && len(old) == len(next) && p.gain(from) == p.gain(to) && from.note.Shake == to.note.Shake
	s.link = passed
	if whole {
		s.link = tied
	}
	return s.link
}

// rip adds a slide from nowhere in particular: up through the holes below, or
// where there is none a rise of pitch.
func (p *player) rip(out *sounds, to *step) link {
	arrow := to.note.SlideIn
	top := lowest(to)
	if top == 1 {
		s := p.slideSound(out, to, arrow, glideTime)
		s.Voices = slices.Clone(p.voices(to.note))
		for i := range s.Voices {
			s.Voices[i].FromHz = float64(s.Voices[i].Hz * wholeToneDown)
		}
		return tied
	}
	for hole := max(1, top-ripHoles); hole < top; hole++ {
		p.pass(out, to, hole, arrow)
	}
	return passed
}

// wholeToneDown is 2^(-2/12).
const wholeToneDown = 0.8908987181403393

// fall adds the pitch dropping off a note by a whole tone while it dies away.
func (p *player) fall(out *sounds, from *step) {
	s := p.slideSound(out, from, from.note.SlideOff, fallTime)
	s.link, s.Fades = tied, true
	s.Voices = slices.Clone(p.voices(from.note))
	for i := range s.Voices {
		p.drop(&s.Voices[i])
	}
}

// drop makes a voice end a whole tone under where it is.
func (p *player) drop(v *score.Voice) {
	v.FromHz = v.Hz
	v.Hz = float64(v.Hz * wholeToneDown)
	v.Midi -= 2
	v.Name = p.harp.Key.NoteName(v.Midi)
}

// pass adds one hole passed in a slide, on the breath of a step.
func (p *player) pass(out *sounds, s *step, hole int, arrow *span) {
	passing := p.slideSound(out, s, arrow, holeTime)
	passing.link = passed
	passing.Voices = []score.Voice{p.voice(hole, harp.Breath(s.note.Breath), harp.Plain, 0)}
}

// slideSound adds a sound of role slide at the arrow's place, as loud as the note
// it belongs to.
func (p *player) slideSound(all *sounds, s *step, arrow *span, wish float64) sound {
	out := all.add(p.placed(*arrow, s.line), manner{at: arrow, wish: wish})
	out.Role = score.Slide
	out.StartBeat = s.start
	out.Gain = p.gain(s)
	return out
}

// lowest is the lowest hole of a step.
func lowest(s *step) int {
	low := math.MaxInt
	for _, hole := range s.note.Holes {
		low = min(low, hole)
	}
	return low
}
