package synth

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/loud"
	"reedlark/synth/reed"
	"reedlark/synth/reed/spectrum"
	"reedlark/tab/score"
)

// frame is the frame nearest to a time in seconds.
func (p *planner) frame(seconds float64) int64 {
	return int64(float64(max(seconds, 0)*float64(p.set.Rate)) + 0.5)
}

// addPhrase makes the parts of a phrase: a tone for each voice, one breath.
func (p *planner) addPhrase(ph phrase) {
	if len(ph.first().Voices) == 0 {
		return
	}
	if p.performer != nil {
		p.performer.begin(ph)
	}
	breakpoints := p.breakpoints(ph)
	facts := p.set.Tables.Table(p.timbres[breakpoints[p.leader(ph)][0].A]).Facts
	env, first, end := p.envelope(ph, facts)
	if end <= first {
		return
	}
	b := &loud.Breath{Breath: p.breath(env, dsp.Gain(loudest(ph))*math.Sqrt(facts.Power)), Tones: make([]*reed.Tone, len(breakpoints))}
	b.First, b.End = first, end
	gain := p.gain(ph)
	for i := range breakpoints {
		b.Tones[i] = &reed.Tone{
			First: first, End: end, Rate: float64(p.set.Rate), Gain: gain, Envelope: env,
			Scoop: scoop(ph), Motion: motion(ph, i), Breakpoints: breakpoints[i],
		}
	}
	p.addBreath(ph, b)
}

// leader is the voice of a phrase that is heard on the beat.
func (p *planner) leader(ph phrase) int {
	if p.performer == nil {
		return 0
	}
	return highestVoice(ph.first())
}

// gain is that of every voice of a phrase.
func (p *planner) gain(ph phrase) float64 {
	n := ph.first()
	db := level(n)
	if p.performer != nil {
		db = n.Gain // the accent is effort, see enliven
	}
	gain := dsp.Gain(db)
	if !n.Shake {
		gain /= math.Sqrt(float64(len(n.Voices)))
	}
	return gain
}

// addBreath adds what one breath blows to the plan.
func (p *planner) addBreath(ph phrase, b *loud.Breath) {
	noisy := p.breathDB > -200
	if p.performer != nil {
		p.enliven(ph, b, noisy)
	}
	for _, t := range b.Tones {
		p.parts = append(p.parts, t)
	}
	if noisy && p.performer == nil {
		p.parts = append(p.parts, b.Breath)
	}
	p.sources = append(p.sources, b)
}

// loudest is the level of the loudest note of a phrase, dB: all have one noise.
func loudest(ph phrase) float64 {
	most := level(ph.first())
	for i := range ph.notes {
		most = max(most, level(&ph.notes[i]))
	}
	return most
}

// breath is the noise under a tone of the given RMS amplitude.
func (p *planner) breath(env reed.Envelope, tone float64) *reed.Breath {
	if env.HandOver == 0 {
		env.Attack = reed.BreathAttack()
	}
	p.breaths++
	return &reed.Breath{
		Rate: float64(p.set.Rate), Envelope: env,
		Seed: p.breaths - 1, Gain: tone * dsp.Gain(p.breathDB),
	}
}

// lowest is the pitch of the lowest voice a note settles at, Hz: it decides
// how all its voices speak.
func lowest(n *score.Note) float64 {
	hz := n.Voices[0].Hz
	for _, v := range n.Voices {
		hz = min(hz, v.Hz)
	}
	return hz
}

// scoop is how flat a phrase starts.
func scoop(ph phrase) reed.Scoop {
	n, hz := ph.first(), lowest(ph.first())
	cents := reed.ScoopFromRest(hz)
	switch n.Onset {
	case score.Tongued:
		cents = reed.ScoopTongued
	case score.Legato, score.Passed, score.Tied:
		cents = reed.ScoopLegato
	}
	if n.Shake {
		cents = min(cents, reed.ScoopLegato)
	}
	if v := n.Voices[0]; v.Technique == score.Bend && v.FromHz == v.Hz {
		cents = min(cents, reed.ScoopHeldBend)
	}
	return reed.NewScoop(hz, cents)
}

// motion is the part of voice i in a shake.
func motion(ph phrase, i int) reed.Motion {
	n := ph.first()
	switch {
	case !n.Shake:
		return reed.Motion{}
	case len(n.Voices) == 1:
		return reed.NewVibrato(ph.seconds())
	case i == 0:
		return reed.NewShake(reed.First, ph.seconds())
	}
	return reed.NewShake(reed.Second, ph.seconds())
}

// breakpoints are the ways of the pitch of every voice of a phrase.
func (p *planner) breakpoints(ph phrase) [][]reed.Breakpoint {
	out := make([][]reed.Breakpoint, len(ph.first().Voices))
	for i := range out {
		partials := reed.Partials(highest(ph, i), p.set.Rate)
		out[i] = make([]reed.Breakpoint, 0, len(ph.notes))
		for k := range ph.notes {
			n := &ph.notes[k]
			if i < len(n.Voices) {
				out[i] = append(out[i], p.breakpoint(n, &n.Voices[i], partials))
			}
		}
		blend(out[i])
		swell(out[i], ph.notes)
	}
	return out
}

// highest is the highest pitch voice i of a phrase comes to, Hz.
func highest(ph phrase, i int) float64 {
	hz := 0.0
	for _, n := range ph.notes {
		if i < len(n.Voices) {
			hz = max(hz, n.Voices[i].Hz, n.Voices[i].FromHz)
		}
	}
	return hz
}

// secondReed is how far the level sinks half way through a bend, where the
// second reed takes over, dB. ref: 1 to 3 dB (common practice, no source).
const secondReed = 2.0

func (p *planner) breakpoint(n *score.Note, v *score.Voice, partials int) reed.Breakpoint {
	b := reed.Breakpoint{At: p.frame(n.Start), To: dsp.Log2(v.Hz), ToDB: bentLevel(v, v.Hz)}
	b.From, b.FromDB = b.To, b.ToDB
	b.B = p.timbre(n, v, v.Hz, partials)
	b.A = b.B
	if v.FromHz != v.Hz && v.GlideSeconds > 0 {
		b.From, b.Glide = dsp.Log2(v.FromHz), v.GlideSeconds
		b.FromDB = bentLevel(v, v.FromHz)
		b.A = p.timbre(n, v, v.FromHz, partials)
		if v.Technique == score.Bend || v.FromHz < v.ReedHz {
			b.Dip = secondReed
		}
	}
	return b
}

// A reed that is bent sounds duller and, though its table is as strong to a
// meter, must not be louder than unbent: it gives up to bentLoss dB, half of
// that at bentHalf cents. by ear: enough for what comes back lower down of
// what its upper partials lose, up to 1 dB.
const (
	bentLoss = 1.5
	bentHalf = 60.0
)

// bentLevel is the level of a voice at a pitch, dB re its reed unbent.
func bentLevel(v *score.Voice, hz float64) float64 {
	if v.Technique == score.Over || v.ReedHz <= hz {
		return 0
	}
	cents := dsp.Cents(v.ReedHz, hz)
	return -bentLoss * cents / (cents + bentHalf)
}

// blend lets each glide begin in the colour that the one before ended in, so that
// a note that is not as loud as its first comes in without a step. Where nothing
// glides the colour stays, as the level does.
func blend(breakpoints []reed.Breakpoint) {
	for i := 1; i < len(breakpoints); i++ {
		b, before := &breakpoints[i], breakpoints[i-1]
		if b.From != before.To {
			continue
		}
		b.A = before.B
		if b.Glide == 0 {
			b.B = before.B
		}
	}
}

// swell lets the level go along with the glides of the notes of a phrase that
// are not as loud as its first. Where nothing glides the level stays.
func swell(breakpoints []reed.Breakpoint, notes []score.Note) {
	was := 0.0
	for i := range breakpoints {
		is := was
		if breakpoints[i].Glide > 0 {
			is = level(&notes[i]) - level(&notes[0])
		}
		breakpoints[i].FromDB, breakpoints[i].ToDB = breakpoints[i].FromDB+was, breakpoints[i].ToDB+is
		was = is
	}
}

func level(n *score.Note) float64 { return n.Gain + n.Accent }

// effort is how much harder than usual a note is blown, as far as it colours
// its table, dB: in halves, so that tables are shared. Under a player, accents are
// mixed out of the waves of a table.
func (p *planner) effort(n *score.Note) float64 {
	db := level(n)
	if p.performer != nil {
		db = n.Gain
	}
	return math.Floor(2*min(max(db, -mostEffort), mostEffort)+0.5) / 2
}

// mostEffort is what a colour can tell of, dB.
const mostEffort = 20.0

// timbre is the number of the sound of a voice at a pitch.
func (p *planner) timbre(n *score.Note, v *score.Voice, hz float64, partials int) int32 {
	colour := spectrum.Colour{
		Draw:   v.Breath == score.Draw,
		Accent: p.effort(n),
		Over:   v.Technique == score.Over,
	}
	if v.ReedHz > hz && !colour.Over {
		colour.BentCents = dsp.Cents(v.ReedHz, hz)
	}
	return p.number(reed.Timbre{Hz: hz, Partials: partials, Rate: p.set.Rate, Colour: colour})
}
