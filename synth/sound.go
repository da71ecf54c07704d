package synth

import (
	"errors"
	"fmt"

	"reedlark/synth/loud"
	"reedlark/synth/reed"
	"reedlark/synth/room"
	"reedlark/tab/score"
)

// Sound is a score ready to be rendered. It is read only, and safe for use by
// many at once.
type Sound struct {
	set    Settings
	frames int64
	plan   plan
	room   room.Room
	gain   loud.Gain
	report Report
	sides  [2]*Sound // left and right, where they are split
	seat   int       // the channel that a side is; it seeds the dither
}

// Report is what is known of a sound before its first sample.
type Report = loud.Report

// Prepare works out how a score sounds. It costs little: it renders only what is so
// loud that its peaks may have to be held down, to see how high they are.
// It fails where the settings or a note cannot be sounded at all.
func Prepare(sc *score.Score, s Settings) (*Sound, error) {
	return prepare(sc, s, reed.BreathDB)
}

// prepare takes the strength of the breath too, so that tests can measure
// reeds without it.
func prepare(sc *score.Score, s Settings, breathDB float64) (*Sound, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if err := checkScore(sc); err != nil {
		return nil, err
	}
	if s.Tables == nil {
		s.Tables = reed.NewCache(reed.DefaultCacheBytes)
	}
	if s.Split {
		return prepareSplit(sc, s, breathDB)
	}
	snd := &Sound{set: s, frames: Frames(sc.Seconds, s), room: roomOf(sc, s, s.Channels)}
	snd.plan = newPlan(sc, s, snd.frames, breathDB)
	return snd.fit(snd.room, snd)
}

// roomOf is the room a score is played in.
func roomOf(sc *score.Score, s Settings, channels int) room.Room {
	if sc.Phrasing.Played {
		return room.NewWide(s.Room, s.Rate, channels)
	}
	return room.New(s.Room, s.Rate, channels)
}

// Frames is how long the sound of a score of so many seconds is, in frames; even
// where an odd number would give an odd number of bytes. It is known before how
// loud the sound is.
func Frames(seconds float64, s Settings) int64 {
	n := int64(float64(seconds*float64(s.Rate)) + 0.5)
	if s.Depth == 24 && s.Channels == 1 {
		n += n & 1
	}
	return n
}

// The pitches and lengths that can be sounded.
const (
	minHz      = 10.0
	maxHz      = 9000.0
	maxSeconds = 4 * 3600.0
)

var errLength = errors.New("synth: the score is longer than four hours, or has no length")

func checkScore(sc *score.Score) error {
	if !within(sc.Seconds, 0, maxSeconds) {
		return errLength
	}
	for i := range sc.Notes {
		if err := checkNote(&sc.Notes[i]); err != nil {
			return fmt.Errorf("synth: note %d (line %d, column %d): %w", i+1, sc.Notes[i].Line, sc.Notes[i].Column, err)
		}
	}
	for i := range sc.Backing {
		if err := checkBacking(&sc.Backing[i]); err != nil {
			return fmt.Errorf("synth: backing note %d: %w", i+1, err)
		}
	}
	return nil
}

func checkNote(n *score.Note) error {
	if !within(n.Start, 0, maxSeconds) || !within(n.Seconds, 0, maxSeconds) {
		return fmt.Errorf("it starts at %g s and lasts %g s", n.Start, n.Seconds)
	}
	if !within(n.Gap, 0, maxSeconds) || !within(n.Release, 0, maxSeconds) {
		return fmt.Errorf("it ends %g s early, within %g s", n.Gap, n.Release)
	}
	if !within(n.Gain, -60, 20) || !within(n.Accent, -60, 20) {
		return fmt.Errorf("its level is changed by %g dB and %g dB", n.Gain, n.Accent)
	}
	for _, v := range n.Voices {
		for _, hz := range []float64{v.Hz, v.FromHz} {
			if !within(hz, minHz, maxHz) {
				return fmt.Errorf("a voice of %g Hz", hz)
			}
		}
	}
	return nil
}

// Frames is the exact length of the sound.
func (s *Sound) Frames() int64 { return s.frames }

// Channels is how many the sound has.
func (s *Sound) Channels() int { return s.set.Channels }

// Report tells what is known of the sound.
func (s *Sound) Report() Report { return s.report }
