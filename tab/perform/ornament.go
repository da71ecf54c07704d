package perform

import (
	"math"

	"reedlark/tab/harp"
	"reedlark/tab/score"
)

// How long the small notes last where there is time enough, seconds.
// ref: common practice, no source, but for the graces and the fall: by ear.
const (
	graceTime = 0.070
	holeTime  = 0.045 // a hole passed in a slide: 25 to 60 ms
	glideTime = 0.200 // a slide of pitch on one hole: 100 to 300 ms
	fallTime  = 0.180
)

// ripHoles is how many holes a slide from nowhere passes on its way up. by ear.
const ripHoles = 3

// maxLeadIn is the most time that what comes before the first beat may take,
// seconds: enough for a long run of graces, and still a bound.
const maxLeadIn = 2.0

// most is the share of a note that what comes after it may take away.
const most = 0.5

// ornament turns steps into sounds, with graces and slides laid into the time
// before the note they belong to: taken from the note before, at most half of
// it, or from the silence before.
func (p *player) ornament(steps []step) []sound {
	out := make([]sound, 0, len(steps)) // and some more for slides
	var before *step
	last := -1 // the sound of before
	for len(steps) > 0 {
		n := group(steps)
		if last >= 0 {
			out = p.fill(out, last, before, steps[:n])
		} else {
			out = append(out, lay(p.approach(nil, steps[:n]), steps[0].at, maxLeadIn)...)
		}
		before, last = &steps[n-1], len(out)-1
		steps = steps[n:]
	}
	if before != nil && before.note.SlideOff != nil {
		out = takeFrom(out, last, []sound{p.fall(before)}, before.end)
	}
	return out
}

// group counts the steps up to the first that has beats: graces and their note.
func group(steps []step) int {
	for i := range steps {
		if !steps[i].isGrace() || i+1 == len(steps) || steps[i+1].at != steps[i].at {
			return i + 1
		}
	}
	return len(steps)
}

// fill lays what lies between two notes, and the second, after the first.
func (p *player) fill(out []sound, last int, before *step, next []step) []sound {
	var off []sound
	if before.note.SlideOff != nil {
		off = []sound{p.fall(before)}
	}
	way := p.approach(before, next)
	silence := next[0].at - before.end
	if silence < together {
		return takeFrom(out, last, append(off, way...), next[0].at)
	}
	out = takeFrom(out, last, off, before.end)
	return append(out, lay(way, next[0].at, silence)...)
}

// takeFrom lays sounds after the sound at index last and shortens that by the
// time they take.
func takeFrom(out []sound, last int, way []sound, land float64) []sound {
	way = lay(way, land, float64(most*out[last].Seconds))
	if len(way) > 0 {
		out[last].Seconds = way[0].Start - out[last].Start
	}
	return append(out, way...)
}

// lay gives sounds their times: those without beats one after the other up to
// the landing, in the time they like or all shortened alike where there is less.
func lay(way []sound, land, room float64) []sound {
	want := 0.0
	for _, s := range way {
		want += s.wish
	}
	scale := 1.0
	if want > room {
		scale = room / want
	}
	for i := range way {
		if way[i].wish == 0 {
			continue
		}
		way[i].Start = land - float64(want*scale)
		want -= way[i].wish
		way[i].Seconds = land - float64(max(0, want)*scale) - way[i].Start
	}
	return way
}

// approach is the way to a note: its graces, the slides between them and from
// the note before, and the note itself, which comes last.
func (p *player) approach(before *step, steps []step) []sound {
	var way []sound
	for i := range steps {
		to := &steps[i]
		var slide []sound
		joined := apart
		switch {
		case before != nil && before.slide != nil:
			slide, joined = p.between(before, to)
		case to.note.SlideIn != nil:
			slide, joined = p.rip(to)
		}
		landing := p.sound(to)
		landing.link = joined
		if joined == passed {
			landing.Accent += landingAccent
		}
		slide = append(slide, landing)
		slide[0].fresh = to.fresh
		way = append(way, slide...)
		before = to
	}
	return way
}

// between is a slide from one note to another. On one hole and one breath it is
// a glide of pitch, else the holes between are passed on the breath of the note
// left; the lowest hole of a chord leads.
func (p *player) between(from, to *step) ([]sound, link) {
	a, z := lowest(from), lowest(to)
	if a == z && from.note.Breath == to.note.Breath {
		return p.glide(from, to)
	}
	way := 1
	if z < a {
		way = -1
	}
	var holes []sound
	for hole := a + way; a != z && hole != z; hole += way {
		holes = append(holes, p.passing(from, hole, *from.slide))
	}
	return holes, passed
}

// glide moves the pitch of the holes that both notes have. Where the notes are
// one sound throughout, so is the glide.
func (p *player) glide(from, to *step) ([]sound, link) {
	s := p.slideSound(from, *from.slide, glideTime)
	old, next := p.voices(from.note), p.voices(to.note)
	for _, v := range next {
		if u := sameHole(old, v); u != nil {
			v.FromHz = u.Hz
			s.Voices = append(s.Voices, v)
		}
	}
	whole := len(s.Voices) == len(old) && len(old) == len(next) && p.gain(from) == p.gain(to)
	if !whole {
		s.link = passed
		return []sound{s}, passed
	}
	s.link = tied
	return []sound{s}, tied
}

// rip is a slide from nowhere in particular: up through the holes below, or
// where there is none a rise of pitch.
func (p *player) rip(to *step) ([]sound, link) {
	arrow := *to.note.SlideIn
	top := lowest(to)
	if top == 1 {
		s := p.slideSound(to, arrow, glideTime)
		s.Voices = p.voices(to.note)
		for i := range s.Voices {
			s.Voices[i].FromHz = float64(s.Voices[i].Hz * wholeToneDown)
		}
		return []sound{s}, tied
	}
	var holes []sound
	for hole := max(1, top-ripHoles); hole < top; hole++ {
		holes = append(holes, p.passing(to, hole, arrow))
	}
	return holes, passed
}

// wholeToneDown is 2^(-2/12).
const wholeToneDown = 0.8908987181403393

// fall is the pitch dropping off a note by a whole tone while it dies away.
func (p *player) fall(from *step) sound {
	s := p.slideSound(from, *from.note.SlideOff, fallTime)
	s.link, s.Fades = tied, true
	s.Voices = p.voices(from.note)
	for i := range s.Voices {
		p.drop(&s.Voices[i])
	}
	return s
}

// drop makes a voice end a whole tone under where it is.
func (p *player) drop(v *score.Voice) {
	v.FromHz = v.Hz
	v.Hz = float64(v.Hz * wholeToneDown)
	v.Midi -= 2
	v.Name = p.harp.Key.NoteName(v.Midi)
}

// passing is one hole passed in a slide, on the breath of a step.
func (p *player) passing(s *step, hole int, arrow span) sound {
	out := p.slideSound(s, arrow, holeTime)
	out.link = passed
	out.Voices = []score.Voice{p.voice(hole, harp.Breath(s.note.Breath), harp.Plain, 0)}
	return out
}

// slideSound is a sound of role slide at the arrow's place, as loud as the note
// it belongs to.
func (p *player) slideSound(s *step, arrow span, wish float64) sound {
	out := sound{wish: wish}
	out.Note = p.marker.note(arrow, s.note.Line)
	out.Role = score.Slide
	out.StartBeat, out.Beats = s.start, zeroBeats
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
