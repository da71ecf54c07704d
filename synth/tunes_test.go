package synth

import (
	"math"
	"math/rand/v2"

	"pgregory.net/rapid"

	"reedlark/tab/score"
)

// chooser draws numbers, for a random tune or a shrinking one.
type chooser interface {
	number(low, high int) int
	real(low, high float64) float64
}

// seeded draws from a seed.
type seeded struct{ *rand.Rand }

func newSeeded(seed uint64) seeded { return seeded{rand.New(rand.NewPCG(seed, 1))} }

func (s seeded) number(low, high int) int       { return low + s.IntN(high-low+1) }
func (s seeded) real(low, high float64) float64 { return low + float64(s.Float64()*(high-low)) }

// drawn draws with rapid, which makes a failing tune small.
type drawn struct{ t *rapid.T }

func (d drawn) number(low, high int) int { return rapid.IntRange(low, high).Draw(d.t, "number") }
func (d drawn) real(low, high float64) float64 {
	return rapid.Float64Range(low, high).Draw(d.t, "real")
}

// beats are the seconds of a random tune's beat.
type beats struct{ shortest, longest float64 }

// invent makes a tune of n notes as a player might: chords, rests, every
// onset, bends, shakes, soft and accented notes, clicks.
func invent(c chooser, n int, b beats) *score.Score {
	sc := &score.Score{}
	at, beat := 0.05, c.real(b.shortest, b.longest)
	for range n {
		if c.number(0, 5) == 0 {
			at += beat
			continue
		}
		x := inventNote(c, at, beat*float64(c.number(1, 4))/2)
		settle(c, sc, &x)
		sc.Notes = append(sc.Notes, x)
		at += x.Seconds
	}
	for i := range c.number(0, 4) {
		sc.Clicks = append(sc.Clicks, score.Click{Start: float64(i) * beat, Accent: i == 0})
		at = max(at, float64(i)*beat)
	}
	sc.Seconds = at + 0.25
	return sc
}

func inventNote(c chooser, at, seconds float64) score.Note {
	root := float64(c.number(43, 90))
	x := note(at, seconds, root)
	for range c.number(0, 2) {
		root += float64(c.number(3, 5))
		x.Voices = append(x.Voices, note(0, 1, root+c.real(-0.2, 0.2)).Voices[0])
	}
	switch c.number(0, 7) {
	case 0:
		x.Shake = len(x.Voices) < 3
	case 1:
		x.Gain = -9
	case 2:
		x.Accent = c.real(-2, 4)
	case 3:
		inventBend(&x.Voices[0], c.number(1, 3), seconds)
	case 4:
		x.Voices[0].Technique = score.Over
	case 5:
		x.Fades = true
	}
	return x
}

func inventBend(v *score.Voice, semitones int, seconds float64) {
	v.ReedHz, v.FromHz = v.Hz, v.Hz
	v.Hz = math.Round(1e6*v.Hz/math.Pow(2, float64(semitones)/12)) / 1e6
	v.Technique, v.GlideSeconds = score.Bend, min(0.1, seconds/3)
}

// alive is a tune as a player plays it.
func alive(sc *score.Score) *score.Score {
	sc.Phrasing = score.Phrasing{Played: true, Seed: 11}
	return sc
}

// settle decides how a note meets the one before it.
func settle(c chooser, sc *score.Score, x *score.Note) {
	x.Onset = score.FromSilence
	if len(sc.Notes) == 0 {
		return
	}
	p := &sc.Notes[len(sc.Notes)-1]
	if !touch(p, x) {
		return
	}
	x.Onset = score.Onset(c.number(1, 5))
	switch x.Onset {
	case score.NewBreath:
		p.Gap = min(0.04, p.Seconds/4)
	case score.Tongued:
		x.Voices, p.Gap = p.Voices, min(0.025, p.Seconds/4)
	}
}
