package band

import "reedlark/tab/beat"

// How long beats are, seconds, that leave room for their halves, and that come
// too fast for every beat of a pulse of three. by ear.
const (
	longBeat   = 0.75
	swungBeat  = 0.30
	pulsedBeat = 0.30
)

var half = beat.Whole(1).Over(2)

// strokes are those of the metre, whatever the chords, in order of time.
func (t Tune) strokes() []stroke {
	var out []stroke
	for _, b := range t.Beats {
		if own, ok := b.styled(t.Style); ok {
			out = append(out, own...)
			continue
		}
		s := b.stroke(t.Feel)
		if s.bass || s.chords {
			out = append(out, s)
		}
		if s.chords && t.Feel.halves() {
			out = append(out, stroke{at: b.At.Plus(half), chords: true, accent: halfAccent})
		}
	}
	return out
}

// halves says that the chords take the halves of beats too.
func (f Feel) halves() bool {
	return !f.Compound && (f.Seconds >= longBeat || f.Swung && f.Seconds >= swungBeat)
}

// stroke is what the metre asks for on a beat: the bass on the first of a group,
// the chords on the others or, where three are one quick pulse, on the last.
func (b Beat) stroke(f Feel) stroke {
	compound := f.Compound && b.Of%3 == 0
	sizes := groups(b.Of, compound)
	group, into := 0, b.Into
	for group < len(sizes)-1 && into >= sizes[group] {
		into -= sizes[group]
		group++
	}
	s := stroke{at: b.At, bass: into == 0, chords: into > 0, group: group}
	if len(sizes) == 1 {
		s.group = alone
	}
	if b.Into == 0 {
		s.accent = barAccent
	}
	if compound && f.Seconds < pulsedBeat {
		s.chords = into == 2
	}
	return s
}

// groups divides a bar into twos and threes: threes where it is felt in them,
// else twos and, first, the three that an odd number needs.
func groups(beats int, compound bool) []int {
	if beats < 4 {
		return []int{max(beats, 1)}
	}
	size := 2
	if compound {
		size = 3
	}
	var out []int
	if beats%size > 0 {
		out, beats = append(out, 3), beats-3
	}
	for ; beats > 0; beats -= size {
		out = append(out, size)
	}
	return out
}
