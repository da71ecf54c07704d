package perform

import (
	"slices"

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
	out := all.add(p.marker.note(s.note.Span, s.note.Line), manner{at: s.note.Span})
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

// voices are the reeds of a note, from the lowest hole up.
func (p *player) voices(n *tab.Note) []score.Voice {
	technique := harp.Plain
	switch {
	case n.Over:
		technique = harp.Over
	case n.Bend > 0:
		technique = harp.Bend
	}
	voices := make([]score.Voice, len(n.Holes))
	for i, hole := range n.Holes {
		voices[i] = p.voice(hole, harp.Breath(n.Breath), technique, n.Bend)
	}
	slices.SortFunc(voices, func(a, b score.Voice) int { return a.Hole - b.Hole })
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
