package perform

import "reedlark/tab/score"

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
func (p *player) ornament(steps []step) []sound {
	out := make([]sound, 0, len(steps)) // and some more for slides
	p.notes = make([]score.Note, 0, len(steps))
	way := make([]sound, 0, 8) // room for what lies before a note; mostly enough
	var before *step
	last := -1 // the sound of before
	for len(steps) > 0 {
		n := group(steps)
		if last >= 0 {
			out = p.fill(out, way, last, before, steps[:n])
		} else {
			out = append(out, lay(p.approach(way, nil, steps[:n]), steps[0].at, maxLeadIn)...)
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

// fill lays what lies between two notes, and the second, after the first. In way
// is room for it.
func (p *player) fill(out, way []sound, last int, before *step, next []step) []sound {
	if before.note.SlideOff != nil {
		way = append(way, p.fall(before))
	}
	silence := next[0].at - before.end
	if silence < together {
		return takeFrom(out, last, p.approach(way, before, next), next[0].at)
	}
	out = takeFrom(out, last, way, before.end)
	return append(out, lay(p.approach(way[:0], before, next), next[0].at, silence)...)
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

// approach adds the way to a note: its graces, the slides between them and from
// the note before, and the note itself, which comes last.
func (p *player) approach(way []sound, before *step, steps []step) []sound {
	for i := range steps {
		to := &steps[i]
		first := len(way)
		joined := apart
		switch {
		case before != nil && before.slide != nil:
			way, joined = p.between(way, before, to)
		case to.note.SlideIn != nil:
			way, joined = p.rip(way, to)
		}
		landing := p.sound(to)
		landing.link = joined
		if joined == passed {
			landing.Accent += landingAccent
		}
		way = append(way, landing)
		way[first].fresh = to.fresh
		before = to
	}
	return way
}
