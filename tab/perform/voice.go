package perform

import (
	"math/bits"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/score"
)

// span is a place in the page.
type span = diag.Span

// softGain is how much brackets take off a note, dB.
const softGain = -9.0

// sound adds the note of a step.
func (p *player) sound(all *sounds, s *step) sound {
	out := all.add(p.placed(s.note.Span, s.line), manner{at: &s.note.Span})
	out.Role = s.role
	out.StartBeat, out.Beats = s.start, s.beats
	out.Start, out.Seconds = s.at, s.end-s.at
	out.Voices, out.Shake = p.voices(s.note), s.note.Shake
	out.Gain, out.Accent = p.gain(s), s.accent
	if s.isGrace() {
		out.wish, out.Beats, out.Accent = graceTime, beat.Time{}, 0
	}
	return out
}

// gain is how brackets change the level of a step, dB.
func (p *player) gain(s *step) float64 {
	if s.role != score.Melody && p.set.Brackets == Soft {
		return softGain
	}
	return 0
}

// embouchure is what notes written alike have in common.
type embouchure struct {
	holes     uint16 // a bit for each
	breath    harp.Breath
	technique harp.Technique
	bend      int
}

func embouchureOf(n *tab.Note) embouchure {
	m := embouchure{breath: harp.Breath(n.Breath), technique: harp.Plain, bend: n.Bend}
	switch {
	case n.Over:
		m.technique = harp.Over
	case n.Bend > 0:
		m.technique = harp.Bend
	}
	for _, hole := range n.Holes {
		m.holes |= 1 << hole
	}
	return m
}

// voices are the reeds of a note, from the lowest hole up. Notes written alike
// share them: they are not to be changed.
func (p *player) voices(n *tab.Note) []score.Voice {
	m := embouchureOf(n)
	voices, known := p.known[m]
	if !known {
		voices = p.sounded(m)
		p.known[m] = voices
	}
	return voices
}

// sounded are the reeds of an embouchure.
func (p *player) sounded(m embouchure) []score.Voice {
	voices := make([]score.Voice, 0, bits.OnesCount16(m.holes))
	for rest := m.holes; rest != 0; rest &= rest - 1 {
		hole := bits.TrailingZeros16(rest)
		voices = append(voices, p.voice(hole, m.breath, m.technique, m.bend))
	}
	return voices
}

// voice is one reed whose pitch does not move.
func (p *player) voice(hole int, breath harp.Breath, technique harp.Technique, bend int) score.Voice {
	if technique == harp.Over {
		bend = 1
	}
	pitch := p.harp.Sound(hole, breath, technique, bend)
	return score.Voice{
		Hole: hole, Breath: score.Breath(breath), Technique: score.Technique(technique), Semitones: bend,
		Name: pitch.Name, Midi: pitch.Midi, Cents: pitch.Cents, Hz: pitch.Hz, ReedHz: pitch.ReedHz, FromHz: pitch.Hz,
	}
}

// sameHole finds the voice of a hole and breath; nil where there is none.
func sameHole(voices []score.Voice, v score.Voice) *score.Voice {
	for i := range voices {
		if voices[i].Hole == v.Hole && voices[i].Breath == v.Breath {
			return &voices[i]
		}
	}
	return nil
}
