package synth

import (
	"fmt"
	"math"

	"reedlark/synth/reed"
)

// Settings is how a score is to sound.
type Settings struct {
	Rate     int     // frames a second: 22050, 44100 or 48000
	Depth    int     // bits a sample: 16 (dithered) or 24
	Channels int     // 1, or 2 for a room in two channels
	Room     float64 // 0 dry to 1
	Loudness float64 // LUFS, integrated, of the whole sound
	// Split puts what the harp plays on the left and all else on the right,
	// each in a room of its own. It takes two channels.
	Split bool
	// Watch, if set, is called again and again while a sound is prepared, so that
	// its error ends that: with how many frames are about to be rendered to learn
	// their peaks, else with 0.
	Watch func(frames int64) error
	// Tables keeps the waves of reeds so that sounds share them; nil makes
	// one for this sound alone.
	Tables *reed.Cache
}

// The loudness that can be asked for, LUFS.
const (
	MinLoudness = -60.0
	MaxLoudness = -6.0
)

// check says what is wrong with the settings.
func (s Settings) check() error {
	switch {
	case s.Rate != 22050 && s.Rate != 44100 && s.Rate != 48000:
		return fmt.Errorf("synth: rate %d, it must be 22050, 44100 or 48000", s.Rate)
	case s.Depth != 16 && s.Depth != 24:
		return fmt.Errorf("synth: depth %d, it must be 16 or 24", s.Depth)
	case s.Channels != 1 && s.Channels != 2:
		return fmt.Errorf("synth: %d channels, it must be 1 or 2", s.Channels)
	case s.Split && s.Channels != 2:
		return fmt.Errorf("synth: a split sound of %d channels, it must be 2", s.Channels)
	case !within(s.Room, 0, 1):
		return fmt.Errorf("synth: room %g, it must be from 0 to 1", s.Room)
	case !within(s.Loudness, MinLoudness, MaxLoudness):
		return fmt.Errorf("synth: loudness %g, it must be from %g to %g", s.Loudness, MinLoudness, MaxLoudness)
	}
	return nil
}

func within(x, low, high float64) bool { return !math.IsNaN(x) && x >= low && x <= high }
