package perform

import (
	"slices"

	"reedlark/tab/score"
)

// How long the fall into a bent note lasts, seconds: 40 to 120 ms by its depth,
// and done early in a short note. ref: common practice, no source.
const (
	bendTime      = 0.050
	bendTimeMore  = 0.020 // for each semitone
	bendTimeMost  = 0.120
	bendTimeShare = 0.3 // of the note at most
)

// bendInto lets the bent voices of a note fall from the unbent reed, or from
// where the pitch was when the same hole was just sounding. One that was bent
// by a grace before is let go.
func (p *player) bendInto(s, before sound) {
	moves := s.Voices[0].Technique == score.Bend || s.Onset == score.Tied
	if p.set.Bends == Direct || s.link != apart || s.Role == score.Slide || !moves {
		return
	}
	s.Voices = slices.Clone(s.Voices)
	for i := range s.Voices {
		v := &s.Voices[i]
		v.FromHz = v.ReedHz
		depth := v.Semitones
		if s.Onset == score.Tied || s.Onset == score.Tongued {
			v.FromHz = pitchBefore(before, *v)
			depth = max(depth, depthBefore(before, *v))
		}
		if v.FromHz != v.Hz {
			wish := min(bendTime+float64(bendTimeMore*float64(depth)), bendTimeMost)
			v.GlideSeconds = min(wish, float64(bendTimeShare*s.Seconds))
		}
	}
}

// depthBefore is how far the reed of a voice that is let go was bent, semitones.
func depthBefore(before sound, v score.Voice) int {
	if u := sameHole(before.Voices, v); u != nil && v.Technique != score.Bend {
		return u.Semitones
	}
	return 0
}

// reshapes says that only the mouth changes its shape between two sounds: the
// same reeds on one breath go from one bend to another, as loud as before, or
// a grace is let go into its note, which may be louder. ref: common practice,
// no source.
func (p *player) reshapes(before, s sound) bool {
	if before.Note == nil || s.Onset != score.Tongued || p.set.Bends == Direct {
		return false
	}
	grace := before.Role == score.Grace
	if before.Role == score.Slide || before.Gain != s.Gain && !grace || len(before.Voices) != len(s.Voices) || before.Shake != s.Shake {
		return false
	}
	for _, v := range s.Voices {
		u := sameHole(before.Voices, v)
		if u == nil || u.Hz == v.Hz || !goesOn(u, &v, grace) {
			return false
		}
	}
	return true
}

// goesOn says that a voice can become another by the mouth alone.
func goesOn(u, v *score.Voice, grace bool) bool {
	if grace && u.Technique == score.Bend {
		return v.Technique != score.Over
	}
	return u.Technique == score.Bend && v.Technique == score.Bend
}

// pitchBefore is where the reed of a voice was left by the sound before.
func pitchBefore(before sound, v score.Voice) float64 {
	if u := sameHole(before.Voices, v); u != nil {
		return u.Hz
	}
	return v.ReedHz
}
