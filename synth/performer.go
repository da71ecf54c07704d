package synth

import (
	"reedlark/synth/dsp"
	"reedlark/synth/loud"
	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// performer lets what a planner plans sound played; nil where it is to sound plain.
type performer struct {
	score.Phrasing
	note, breath uint64 // numbers of the phrase and of the breath that is planned
}

func newPerformer(ph score.Phrasing) *performer {
	if !ph.Played {
		return nil
	}
	return &performer{Phrasing: ph}
}

// What chance decides of each note.
const (
	chanceRise = iota
	chanceScoop
	chanceVibrato
	chanceBreath
	chances
)

// begin goes on to a phrase.
func (p *performer) begin(ph phrase) {
	p.note++
	if o := ph.first().Onset; o == score.FromSilence || o == score.NewBreath {
		p.breath++
	}
}

// hash is chance, for the note that is planned.
func (p *performer) hash(what uint64) uint64 { return dsp.Hash(p.Seed, p.note*chances+what) }

// vary is a number near 1, at most so much above or below it.
func (p *performer) vary(what uint64, by float64) float64 {
	return 1 + float64(by*float64(int64(p.hash(what)))/(1<<63))
}

// No two notes speak alike: their rise and their scoop differ. by ear.
const (
	variedRise  = 0.10
	variedScoop = 0.30
)

// attack is that of one voice, which speaks in its own time.
func (p *performer) attack(ph phrase, voice int) reed.Attack {
	return attackOf(ph, ph.first().Voices[voice].Hz).Scaled(p.vary(chanceRise, variedRise))
}

// Low reeds speak later than high ones: by so much for each octave, seconds.
// by ear; ref: the rise of recorded reeds takes 12 to 17 periods.
const (
	waitOctave = 0.017
	waitMost   = 0.015
)

// wait is how much later a voice speaks than the highest of its chord, seconds.
func wait(n *score.Note, voice int) float64 {
	octaves := dsp.Log2(n.Voices[highestVoice(n)].Hz / n.Voices[voice].Hz)
	return min(float64(waitOctave*octaves), waitMost, n.Seconds/8)
}

// highestVoice is the voice of a note that settles highest.
func highestVoice(n *score.Note) int {
	high := 0
	for i, v := range n.Voices {
		if v.Hz > n.Voices[high].Hz {
			high = i
		}
	}
	return high
}

func lowestVoice(n *score.Note) int {
	low := 0
	for i, v := range n.Voices {
		if v.Hz < n.Voices[low].Hz {
			low = i
		}
	}
	return low
}

// A long note grows by swellRise and falls by swellFall, dB, as much as it lasts; one
// under swellLeast seconds does not.
// ref: A. Friberg, R. Bresin & J. Sundberg, "Overview of the KTH rule system for
// musical performance", 2006, for the kind; by ear: the amounts.
const (
	swellLeast   = 0.6
	swellRise    = 0.50 // dB a second
	swellFall    = 1.25
	swellSeconds = 3.8 // as many count at most
)

func swellOf(ph phrase) reed.Swell {
	seconds := ph.seconds()
	if seconds < swellLeast {
		return reed.Swell{}
	}
	counted := min(seconds, swellSeconds) - swellLeast/2
	return reed.Swell{Rise: swellRise * counted, Fall: swellFall * counted, Seconds: seconds}
}

// enliven gives the tones of one breath its life.
func (p *planner) enliven(ph phrase, b *loud.Breath, noisy bool) {
	n := ph.first()
	life := &reed.Life{
		Seed: dsp.Hash(p.performer.Seed, ^p.performer.breath), Grid: reed.LifeGrid(p.set.Rate), Rate: float64(p.set.Rate),
		Effort: n.Accent, Swell: swellOf(ph),
	}
	for i, t := range b.Tones {
		t.Life, t.Lift = life, reed.Lift(p.set.Tables.Table(p.timbres[t.Breakpoints[0].A]).Facts)
		if t.Envelope.HandOver == 0 {
			t.Envelope.Attack = p.performer.attack(ph, i)
			t.Envelope.Attack.Wait = wait(n, i)
		}
		t.Scoop = p.performer.scoop(ph, t.Scoop)
		t.Motion.Seed = p.performer.hash(chanceVibrato) | 1
	}
	b.Seed = p.performer.hash(chanceBreath)
	if noisy {
		b.Tones[lowestVoice(n)].Noise = b.Breath
	}
}

// Recorded attacks start 2 to 7 times as flat as a learner can do with.
// ref: recorded notes; by ear: how much of it.
const (
	deepLow, deepLowTau   = 37.0, 0.030 // cents and seconds, reeds up to C5
	deepHigh, deepHighTau = 30.0, 0.016
	deepLowest            = 538.6 // Hz, a quarter tone over C5
)

// scoop deepens the scoop of a note out of silence or of a new breath, and makes
// it different each time.
func (p *performer) scoop(ph phrase, s reed.Scoop) reed.Scoop {
	n := ph.first()
	fresh := n.Onset == score.FromSilence || n.Onset == score.NewBreath
	if held := n.Voices[0].Technique == score.Bend && n.Voices[0].FromHz == n.Voices[0].Hz; fresh && !p.Direct && !held && !n.Shake {
		s = reed.Scoop{Cents: deepLow, Tau: deepLowTau}
		if lowest(n) >= deepLowest {
			s = reed.Scoop{Cents: deepHigh, Tau: deepHighTau}
		}
	}
	s.Cents *= p.vary(chanceScoop, variedScoop)
	return s
}
