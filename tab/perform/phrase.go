package perform

import (
	"slices"

	"reedlark/tab/score"
)

// link is how a sound is joined to the one before it by what is written.
type link uint8

const (
	apart  link = iota // not at all
	passed             // by a slide through holes
	tied               // by a slide of pitch: the same reeds go on
)

// together is the silence under which two sounds touch, seconds.
const together = 1e-6

// How long a note falls silent before the next, seconds. ref: common practice,
// no source: 20 to 60 ms for a change of breath, 15 to 40 ms for the tongue.
const (
	breathGap = 0.035
	commaGap  = 0.050
	tongueGap = 0.025
)

// Gap and release together take at most a quarter of a note: its gap a sixth, and
// of a very short one what is left beside the quickest release without a click.
const (
	gapShare     = 1. / 6
	quarter      = 1. / 4
	leastRelease = 0.008 // seconds
)

// How much harder than usual a note is blown, dB. by ear.
const (
	barAccent     = 1.5
	beatAccent    = 0.7
	landingAccent = 0.8 // the end of a slide
)

// join settles how each sound begins and how the one before it ends.
func (p *player) join(all *sounds) {
	for i := range all.notes {
		s, before := all.sound(i), sound{}
		if i > 0 && s.Start-all.sound(i-1).end() < together {
			before = all.sound(i - 1)
		}
		s.Onset = onset(before, s)
		if p.reshapes(before, s) {
			s.Onset = score.Tied
		}
		if before.Note != nil {
			before.Gap = min(gap(s), mostGap(before.Seconds))
		}
		p.bendInto(s, before)
		if s.Role == score.Slide {
			glideThrough(s)
		}
	}
}

// onset is how a sound begins after the one before it, which is none after silence.
func onset(before, s sound) score.Onset {
	switch {
	case before.Note == nil:
		return score.FromSilence
	case s.fresh:
		return score.NewBreath
	case s.link == tied:
		return score.Tied
	case s.link == passed:
		return score.Passed
	case before.Voices[0].Breath != s.Voices[0].Breath:
		return score.NewBreath
	case slices.ContainsFunc(s.Voices, func(v score.Voice) bool { return sameHole(before.Voices, v) != nil }):
		return score.Tongued
	default:
		return score.Legato
	}
}

// gap is how long the sound before falls silent.
func gap(s sound) float64 {
	switch {
	case s.fresh:
		return commaGap
	case s.Onset == score.NewBreath:
		return breathGap
	case s.Onset == score.Tongued:
		return tongueGap
	default:
		return 0
	}
}

// mostGap is the longest gap that a note of so many seconds can spare.
func mostGap(seconds float64) float64 {
	return max(min(float64(gapShare*seconds), float64(quarter*seconds)-leastRelease), 0)
}

// glideThrough stretches the glides of a slide over its whole length.
func glideThrough(s sound) {
	for i := range s.Voices {
		if v := &s.Voices[i]; v.FromHz != v.Hz {
			v.GlideSeconds = s.Seconds
		}
	}
}
