package band

import (
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/chord"
)

// Beat is a beat of the piece: where it is, which of its bar it is, from 0, and
// how many its bar has.
type Beat struct {
	At       beat.Time
	Into, Of int
}

// Change is a moment at which the chord changes.
type Change struct {
	At    beat.Time
	Chord chord.Chord
}

// Tune is what is to be accompanied. Beats and changes ascend.
type Tune struct {
	Beats    []Beat
	Changes  []Change
	From, To beat.Time // the part that is played
	Feel     Feel
	Style    Style // "": the metre's usual one
	Drums    bool
	// Ends says that the last chord is struck once and held, and the drums stop.
	Ends bool
}

// Feel is how the beats go by.
type Feel struct {
	Seconds  float64 // of a beat
	Swung    bool    // the halves of beats swing
	Compound bool    // three beats are one pulse, as in 6/8
}

// Player is one of the band.
type Player uint8

// The players; all from Kick on are drums.
const (
	Bass Player = iota
	Chords
	Kick
	Snare
	Brush
	Hat
	Shaker
)

// Note is one note of one player.
type Note struct {
	Player   Player
	Midi     int // 0 for drums
	At, Till beat.Time
	Accent   float64 // dB
}

// How much louder than usual some strokes are, dB. by ear: enough to feel
// beat one, and to let the halves of beats step back.
const (
	barAccent  = 1.5
	halfAccent = -3.0
)

// Play is what the band plays, in order of time, bass first.
func Play(t Tune) []Note {
	var out []Note
	p := &players{}
	until := t.To
	if t.Ends {
		until = t.end()
	} else if t.Style == Shuffle {
		t.Changes = t.turnaround()
	}
	for _, s := range t.segments(until) {
		if !s.chord.Silent && len(s.chord.Tones) > 0 {
			out = append(out, p.play(s)...)
		}
	}
	if t.Drums {
		out = append(out, t.drums(until)...)
	}
	slices.SortStableFunc(out, func(a, b Note) int { return a.At.Cmp(b.At) })
	return out
}

// segment is a stretch of one chord, and the strokes in it.
type segment struct {
	chord    chord.Chord
	from, to beat.Time
	strokes  []stroke
}

// stroke is a moment at which somebody plays.
type stroke struct {
	at     beat.Time
	bass   bool
	chords bool
	group  int // of its bar, counted from 0; alone for the only one
	accent float64
	walks  bool // the bass walks through the chord
	holds  bool // the chords sound until their next stroke
}

// alone is the group of a bar that has no other.
const alone = -1

// segments are the chords of the part that is played, each with its strokes; from
// a moment on there is one, which is held.
func (t Tune) segments(until beat.Time) []segment {
	var out []segment
	all := slices.DeleteFunc(t.strokes(), func(s stroke) bool { return !s.at.Less(until) })
	if until.Less(t.To) {
		all = append(all, stroke{at: until, bass: true, chords: true, holds: true, accent: barAccent})
	}
	for i, c := range t.Changes {
		s := segment{chord: c.Chord, from: beat.Max(c.At, t.From), to: t.To}
		if i+1 < len(t.Changes) {
			s.to = beat.Min(t.Changes[i+1].At, t.To)
		}
		if !s.from.Less(s.to) {
			continue
		}
		first, _ := slices.BinarySearchFunc(all, s.from, byTime)
		end, _ := slices.BinarySearchFunc(all, s.to, byTime)
		s.strokes = meet(all[first:end], s.from)
		out = append(out, s)
	}
	return out
}

func byTime(s stroke, at beat.Time) int { return s.at.Cmp(at) }

// meet sees to it that both players meet a chord that begins at a moment.
func meet(strokes []stroke, from beat.Time) []stroke {
	out := slices.Clone(strokes)
	if len(out) == 0 || out[0].at != from {
		out = slices.Insert(out, 0, stroke{at: from})
	}
	out[0].bass = true
	if !slices.ContainsFunc(out, func(s stroke) bool { return s.chords }) {
		out[0].chords = true
	}
	return out
}
