package band

import "reedlark/tab/beat"

// hit is a stroke of a drum inside a beat: sixteenths into it, from 0.
type hit struct {
	player    Player
	sixteenth int
	accent    float64 // dB
}

// How much softer than usual some strokes are, dB. by ear.
const (
	ghost = -6.0
	light = -3.0
)

// kit is what the drums play on a beat. common practice, no source.
func (b Beat) kit(s Style) []hit {
	first, back := b.Into == 0, b.Into%2 == 1
	switch s {
	case Shuffle:
		out := []hit{{Hat, 0, 0}, {Hat, 2, light}}
		if back {
			return append(out, hit{Snare, 0, 0})
		}
		return append(out, hit{Kick, 0, 0})
	case Train:
		out := []hit{{Snare, 0, ghost}, {Snare, 1, ghost}, {Snare, 2, 0}, {Snare, 3, ghost}}
		return append(out, hit{Kick, 0, 0})
	case Waltz:
		if first {
			return []hit{{Kick, 0, 0}, {Hat, 0, light}}
		}
		return []hit{{Brush, 0, light}}
	case March:
		return []hit{{Kick, 0, 0}, {Snare, 2, 0}}
	case Ballad:
		out := []hit{{Shaker, 0, 0}, {Shaker, 2, light}}
		if back {
			return append(out, hit{Brush, 0, 0})
		}
		if first {
			return append(out, hit{Kick, 0, light})
		}
		return out
	case SixEight:
		switch {
		case first:
			return []hit{{Kick, 0, 0}, {Hat, 0, 0}}
		case b.Into%6 == 3:
			return []hit{{Snare, 0, 0}, {Hat, 0, 0}}
		case b.Into%3 == 0:
			return []hit{{Kick, 0, light}, {Hat, 0, 0}}
		}
		return []hit{{Hat, 0, light}}
	}
	out := []hit{{Hat, 0, 0}, {Hat, 2, light}}
	if back {
		return append(out, hit{Snare, 0, 0})
	}
	return append(out, hit{Kick, 0, 0})
}

// Beats that come faster, seconds, leave no room for sixteenths or for eighths.
const (
	sixteenthBeat = 0.35
	eighthBeat    = 0.22
)

// drums are the strokes of the drums in the part that is played, up to where it ends.
func (t Tune) drums(until beat.Time) (out []Note) {
	for _, b := range t.Beats {
		for _, h := range b.kit(t.styleOf(b)) {
			at := b.At.Plus(beat.Whole(h.sixteenth).Over(4))
			quick := h.sixteenth%2 == 1 && t.Feel.Seconds < sixteenthBeat || h.sixteenth > 0 && t.Feel.Seconds < eighthBeat
			if !quick && !at.Less(t.From) && at.Less(until) {
				out = append(out, Note{Player: h.player, At: at, Till: at.Plus(beat.Whole(1).Over(4)), Accent: h.accent})
			}
		}
	}
	return out
}

// styleOf is the style a beat is played in.
func (t Tune) styleOf(b Beat) Style {
	if t.Style == "" {
		return t.Feel.usual(b.Of)
	}
	return t.Style
}
