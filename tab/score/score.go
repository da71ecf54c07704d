// Package score is the waist of Reedlark: a tune as timed, pitched notes.
//
// Everything above it knows text and harps; everything below it knows samples.
// A score knows neither. Times are seconds from the first frame of the sound,
// pitches are hertz, levels are decibels. A chord is one Note with several
// voices. A bend is a pitch that moves, so whoever plays a score need not know
// what a bend is.
package score

import "reedlark/tab/beat"

// Score is a tune ready to be played.
//
// Times are exact and know no frames. Whoever makes samples rounds once: a
// moment t is frame round(t × rate), the sound has round(Seconds × rate) frames,
// and a length is the difference of two rounded moments, so that notes that
// touch in seconds touch in frames.
type Score struct {
	Title    string
	Harp     Harp
	Position int    // 1 to 12
	SongKey  string // the key of the song in that position
	Tempo    float64
	Metre    string    // "6/8"; empty for none
	Beats    beat.Time // played, over all rounds
	Seconds  float64   // of the whole sound: lead-in, count-in and tail included
	Zero     float64   // seconds: where the first beat played falls, after lead-in and count-in
	Notes    []Note    // in order of Start
	Entries  []Entry   // in order of Start
	Clicks   []Click   // in order of Start
	Backing  []Backing // what plays along, in order of Start
	Chords   []Chord   // what it plays along to, in order of Start
	Moved    int       // semitones by which the page's chords are moved to fit the harp
	Phrasing Phrasing
}

// Phrasing is how a player differs from a sequencer. The zero value is a sequencer:
// notes that are written alike sound alike, and a held note does not move.
type Phrasing struct {
	// Played lets what sounds move as under a player's breath.
	Played bool
	// Direct says that notes are met at their pitch, not from far below.
	Direct bool
	// Seed is what everything left to chance is a hash of.
	Seed uint64
}

// Harp is the instrument a score is played on.
type Harp struct {
	Key    string // "C", "F#", "low F"
	Layout string // a name, or "custom"
	Tuning string
	A4     float64 // Hz
}

// Role is the part a note has in the music.
type Role string

// The roles. A slide is what sounds on the way from one note to another.
const (
	Melody Role = "melody"
	Filler Role = "filler"
	Grace  Role = "grace"
	Slide  Role = "slide"
)

// Onset is how a note begins; it decides its attack and its scoop.
type Onset uint8

// The onsets.
const (
	FromSilence Onset = iota // after a rest, or first of all
	NewBreath                // the air turns round, or a phrase begins
	Tongued                  // the same note, struck again
	Legato                   // another hole on the same breath
	Passed                   // a hole the mouth passes in a slide, or lands on from one
	Tied                     // the note before goes on with the same holes and gain, unbroken; only its pitch moves
)

// Note is one sounding note, all its voices on one breath.
//
// Notes do not overlap: each ends where the next begins, or before. A note may
// be heard up to 15 ms before Start, as much as its attack needs to be on the
// beat; the score leaves that room before the first.
type Note struct {
	// Where it stands in the page: line and column from 1, length, characters.
	Line, Column, Length int
	Text                 string // as typed

	StartBeat beat.Time // of the piece, before swing; begins anew each round
	Beats     beat.Time // 0 for grace notes and slides
	Start     float64   // seconds
	Seconds   float64   // from Start to where the next note may begin
	Role      Role
	Voices    []Voice // not to be changed: notes may share them
	Shake     bool    // vibrato on one voice, alternation on two
	Fades     bool    // it dies away to nothing over its length (a fall)

	Onset Onset
	// Gap is how long before its end the note falls silent, seconds: the
	// breath or the tongue before the next note. 0 for legato.
	Gap float64
	// Release is how long it takes to fall silent, seconds; 0 for as long as the
	// next note's onset makes usual.
	Release float64
	// Gain is how much harder than usual it is blown because of how it is
	// written, dB; below 0 for soft brackets. Harder is brighter.
	Gain float64
	// Accent is as Gain, because of where in the bar and in the phrase it lies.
	Accent float64
}

// Breath is the direction the air moves.
type Breath string

// The two breaths.
const (
	Blow Breath = "blow"
	Draw Breath = "draw"
)

// Technique is how a voice comes to its pitch.
type Technique string

// The techniques.
const (
	Plain Technique = "plain"
	Bend  Technique = "bend"
	Over  Technique = "over"
)

// Voice is one reed of a note.
type Voice struct {
	Hole      int
	Breath    Breath
	Technique Technique
	Semitones int     // depth of a bend; 1 for an over; 0 for a plain note
	Name      string  // "Bb4"
	Midi      int     // the equal-tempered note it is meant to be, whatever the tuning and A4
	Cents     float64 // how far Hz lies from that note at A4 = 440
	Hz        float64 // the pitch it settles at
	// ReedHz is the pitch of the unbent reed that speaks: how far Hz lies
	// below it says how dark the sound is. Equal to Hz where nothing is bent.
	ReedHz float64
	// FromHz is where the pitch begins; it reaches Hz, on an S-shaped path in
	// cents, GlideSeconds after the note's start. Equal to Hz where nothing moves.
	FromHz       float64
	GlideSeconds float64
}

// Entry is a moment at which the playing enters a line of the page.
type Entry struct {
	Line  int     // from 1
	Start float64 // seconds
}

// Click is one tick of the metronome.
type Click struct {
	Start  float64 // seconds
	Accent bool    // beat one
}
