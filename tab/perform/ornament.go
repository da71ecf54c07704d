package perform

// graceTime is how long a grace note lasts where there is time enough, seconds.
// by ear.
const graceTime = 0.070

// maxLeadIn is the most time that what comes before the first beat may take,
// seconds: enough for a long run of graces, and still a bound.
const maxLeadIn = 2.0

// most is the share of a note that what comes after it may take away.
const most = 0.5

// ornament turns steps into sounds, with graces and slides laid into the time
// before the note they belong to: taken from the note before, at most half of
// it, or from the silence before.
func (p *player) ornament(c *clock) *sounds {
	out := newSounds(playable(p.inSpan()) * p.set.Repeat) // and some more for slides
	var left step
	var before *step
	for group := range p.groups(c) {
		p.fill(out, before, group)
		left = group[len(group)-1]
		before = &left
	}
	if last := len(out.notes) - 1; before != nil && before.note.SlideOff != nil {
		p.fall(out, before)
		out.takeFrom(last, before.end)
	}
	return out
}

// fill adds what lies between two notes, and the second. The first is nil at the
// start.
func (p *player) fill(out *sounds, before *step, next []step) {
	last := len(out.notes) - 1
	silence := maxLeadIn
	if before != nil {
		silence = next[0].at - before.end
		if before.note.SlideOff != nil {
			p.fall(out, before)
		}
	}
	if silence < together {
		p.approach(out, before, next)
		out.takeFrom(last, next[0].at)
		return
	}
	if before != nil {
		out.takeFrom(last, before.end)
	}
	first := len(out.notes)
	p.approach(out, before, next)
	out.lay(first, next[0].at, silence)
}

// takeFrom lays what comes after the sound at index last, and shortens that by
// the time it takes.
func (o *sounds) takeFrom(last int, land float64) {
	first := last + 1
	o.lay(first, land, float64(most*o.notes[last].Seconds))
	if first < len(o.notes) {
		o.notes[last].Seconds = o.notes[first].Start - o.notes[last].Start
	}
}

// lay gives the sounds from index first on their times: those without beats one
// after the other up to the landing, in the time they like or all shortened alike
// where there is less.
func (o *sounds) lay(first int, land, room float64) {
	want := 0.0
	for _, m := range o.manners[first:] {
		want += m.wish
	}
	scale := 1.0
	if want > room {
		scale = room / want
	}
	for i := first; i < len(o.notes); i++ {
		s := o.sound(i)
		if s.wish == 0 {
			continue
		}
		s.Start = land - float64(want*scale)
		want -= s.wish
		s.Seconds = land - float64(max(0, want)*scale) - s.Start
	}
}

// approach adds the way to a note: its graces, the slides between them and from
// the note before, and the note itself, which comes last.
func (p *player) approach(out *sounds, before *step, steps []step) {
	for i := range steps {
		to := &steps[i]
		first := len(out.notes)
		joined := apart
		switch {
		case before != nil && before.slide != nil:
			joined = p.between(out, before, to)
		case to.note.SlideIn != nil:
			joined = p.rip(out, to)
		}
		landing := p.sound(out, to)
		landing.link = joined
		if joined == passed {
			landing.Accent += landingAccent
		}
		out.manners[first].fresh = to.fresh
		before = to
	}
}
