package perform

import "reedlark/tab/score"

// How long the fall into a bent note lasts, seconds: 40 to 120 ms by its depth,
// and done early in a short note. ref: common practice, no source.
const (
	bendTime      = 0.050
	bendTimeMore  = 0.020 // for each semitone
	bendTimeMost  = 0.120
	bendTimeShare = 0.3 // of the note at most
)

// bendInto lets the bent voices of a note fall from the unbent reed, or from
// where the pitch was when the same hole was just sounding.
func (p *player) bendInto(s, before *sound) {
	if p.set.Bends == Direct || s.link != apart || s.Role == score.Slide {
		return
	}
	for i := range s.Voices {
		v := &s.Voices[i]
		if v.Technique != score.Bend {
			continue
		}
		v.FromHz = v.ReedHz
		if s.Onset == score.Tied || s.Onset == score.Tongued {
			v.FromHz = pitchBefore(before, *v)
		}
		if v.FromHz != v.Hz {
			wish := min(bendTime+float64(bendTimeMore*float64(v.Semitones)), bendTimeMost)
			v.GlideSeconds = min(wish, float64(bendTimeShare*s.Seconds))
		}
	}
}

// reshapes says that only the mouth changes its shape between two sounds: the
// same reeds on one breath go from one bend to another, as loud as before. ref:
// common practice, no source.
func (p *player) reshapes(before, s *sound) bool {
	if before == nil || s.Onset != score.Tongued || p.set.Bends == Direct {
		return false
	}
	if before.Role == score.Slide || before.Gain != s.Gain || len(before.Voices) != len(s.Voices) {
		return false
	}
	for _, v := range s.Voices {
		u := sameHole(before.Voices, v)
		if u == nil || u.Hz == v.Hz || u.Technique != score.Bend || v.Technique != score.Bend {
			return false
		}
	}
	return true
}

// pitchBefore is where the reed of a voice was left by the sound before.
func pitchBefore(before *sound, v score.Voice) float64 {
	if u := sameHole(before.Voices, v); u != nil {
		return u.Hz
	}
	return v.ReedHz
}
