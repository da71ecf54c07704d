package perform

import (
	"cmp"
	"strconv"

	"reedlark/tab"
	"reedlark/tab/band"
	"reedlark/tab/harp"
)

// Brackets says how loud notes in brackets are, grace notes and filler alike.
type Brackets string

// The three ways with brackets. Skip turns filler into rests, so that the
// melody stays in time.
const (
	Soft Brackets = "soft" // 9 dB down
	Full Brackets = "full"
	Skip Brackets = "skip"
)

// Bends says how a player comes to a bent note.
type Bends string

// The two ways: fall into it from the unbent reed, or meet its pitch at once.
const (
	Glide  Bends = "glide"
	Direct Bends = "direct"
)

// Phrasing says whether the tune is shaped as a player shapes it.
type Phrasing string

// The two: Played has level, timbre and note ends move as under a player's breath,
// with every note on its beat; Plain plays exactly what is written.
const (
	Played Phrasing = "played"
	Plain  Phrasing = "plain"
)

// Backing says what plays along.
type Backing string

// Nothing, the key note of the song and its fifth, bass and chords as the page
// has them, or these with drums.
const (
	NoBacking Backing = "off"
	Drone     Backing = "drone"
	Chords    Backing = "chords"
	Band      Backing = "band"
)

// What is played where neither the caller nor the page says.
const (
	DefaultTempo = 100.0 // beats a minute
	DefaultSwing = 0.5   // even
	DefaultA4    = 440.0 // Hz
)

// The most that is played; a caller may set less.
const (
	MaxSeconds = 15 * 60.0
	MaxNotes   = 20000
)

// Bound is an end of the part that is played: a line of tab, or a beat.
type Bound struct {
	Line int     // from 1; 0 means Beat counts
	Beat float64 // of the piece as it unfolds, from 0
}

// Settings is what the caller asks of the player. The zero value of each field
// asks for what the page says, else for the usual.
type Settings struct {
	Harp     *harp.Key    // nil: the page's, else C
	Layout   *harp.Layout // nil: the page's, else richter
	Tuning   harp.Tuning  // "": the page's, else equal
	A4       float64      // 415 to 466 Hz; 0: 440
	Tempo    float64      // 20 to 400 beats a minute; 0: the page's, else 100
	Swing    float64      // 0.5 to 0.75; 0: the page's, else 0.5
	Brackets Brackets     // "": soft
	Bends    Bends        // "": glide
	Phrasing Phrasing     // "": played
	From, To *Bound       // nil: the whole piece; To excludes a beat and includes a line
	Repeat   int          // 1 to 32 rounds; 0: 1
	CountIn  int          // 0 to 4 bars counted before the first round
	Click    bool         // a tick on every beat that is played
	Backing  Backing      // "": off
	Style    band.Style   // "": the page's, else the metre's usual one
	Position int          // 1 to 12; 0: 1

	MaxSeconds float64 // of sound; 0: MaxSeconds
	MaxNotes   int     // over all rounds; 0: MaxNotes
}

// filled puts what the page says, and else the usual, where the caller asked
// for nothing. The harp, which can be wrong on the page, is chosen elsewhere.
func (s Settings) filled(head tab.Head) Settings {
	s.A4 = cmp.Or(s.A4, DefaultA4)
	s.Tempo = cmp.Or(s.Tempo, head.Tempo, DefaultTempo)
	s.Swing = cmp.Or(s.Swing, head.Swing) // else that of the style, which can be wrong on the page
	s.Brackets = cmp.Or(s.Brackets, Soft)
	s.Bends = cmp.Or(s.Bends, Glide)
	s.Phrasing = cmp.Or(s.Phrasing, Played)
	s.Backing = cmp.Or(s.Backing, NoBacking)
	s.Repeat = cmp.Or(s.Repeat, 1)
	s.Position = cmp.Or(s.Position, 1)
	s.MaxSeconds = cmp.Or(s.MaxSeconds, MaxSeconds)
	s.MaxNotes = cmp.Or(s.MaxNotes, MaxNotes)
	return s
}

// styleSwing is the swing that belongs to a style; 0 for none. ref: 2:1, common
// practice, no source.
func styleSwing(s band.Style) float64 {
	if s == band.Shuffle {
		return 2. / 3
	}
	return 0
}

// metreName writes a metre as on a page, "6/8", or "" for none.
func metreName(m tab.Metre) string {
	if m.Beats == 0 {
		return ""
	}
	return strconv.Itoa(m.Beats) + "/" + strconv.Itoa(m.Unit)
}
