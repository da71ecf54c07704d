package score

import "reedlark/tab/beat"

// Player is one of those who play along.
type Player string

// The players. The bass is plucked; comping and drone are held softly. Drums have
// neither a name nor a pitch.
const (
	Bass    Player = "bass"
	Comping Player = "comping" // the chords
	Drone   Player = "drone"   // the key note and its fifth, throughout
	Kick    Player = "kick"
	Snare   Player = "snare"
	Brush   Player = "brush" // on the snare
	Hat     Player = "hat"   // a closed hi-hat
	Shaker  Player = "shaker"
)

// Drum says that a player strikes something without a pitch.
func (p Player) Drum() bool {
	switch p {
	case Kick, Snare, Brush, Hat, Shaker:
		return true
	}
	return false
}

// Backing is one note of one player. Notes of one player may sound together.
type Backing struct {
	Player    Player
	Name      string // "Bb2"
	Midi      int
	Hz        float64
	StartBeat beat.Time // of the piece, before swing; begins anew each round
	Beats     beat.Time
	Start     float64 // seconds
	Seconds   float64 // until it falls silent
	Accent    float64 // how much louder than usual, dB
}

// Chord is a change of harmony, and how long it lasts.
type Chord struct {
	Symbol    string // as it sounds: moved along with the harp
	StartBeat beat.Time
	Start     float64 // seconds
	Seconds   float64 // until the next
}
