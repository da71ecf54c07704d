package band

import (
	"fmt"
	"slices"
	"strings"

	"reedlark/tab/beat"
	"reedlark/tab/chord"
)

// Style is how a band plays. common practice, no source.
type Style string

// The styles. The zero style is the metre's usual one.
const (
	Straight Style = "straight"  // bass on one and three, chords between
	Shuffle  Style = "shuffle"   // boogie bass, chords on the backbeat, swung
	Train    Style = "train"     // sixteenths on the snare, bass on every beat
	Waltz    Style = "waltz"     // bass on one, chords on two and three
	March    Style = "march"     // bass on the beats, chords between them
	Ballad   Style = "ballad"    // chords that are held
	SixEight Style = "six-eight" // two pulses of three
)

// Styles lists the styles.
func Styles() []Style { return []Style{Straight, Shuffle, Train, Waltz, March, Ballad, SixEight} }

// ParseStyle finds a style by its name.
func ParseStyle(name string) (Style, error) {
	if s := Style(name); slices.Contains(Styles(), s) {
		return s, nil
	}
	return "", fmt.Errorf("%q is no style; there are %s", name, names())
}

// names are those of all styles, for messages.
func names() string {
	var all []string
	for _, s := range Styles() {
		all = append(all, string(s))
	}
	return strings.Join(all, ", ")
}

// usual is the style of a metre of so many beats.
func (f Feel) usual(beats int) Style {
	switch {
	case f.Compound:
		return SixEight
	case beats == 3:
		return Waltz
	case beats == 2:
		return March
	case f.Swung:
		return Shuffle
	}
	return Straight
}

// styled are the strokes of a beat in a style that has its own, in order of time;
// false for styles that follow the metre.
func (b Beat) styled(s Style) ([]stroke, bool) {
	on := stroke{at: b.At, bass: true, group: b.Into}
	if b.Into == 0 {
		on.accent = barAccent
	}
	between := stroke{at: b.At.Plus(half), chords: true}
	switch s {
	case Shuffle:
		on.walks, on.chords = true, b.Into%2 == 1
		return []stroke{on}, true
	case Train, March:
		return []stroke{on, between}, true
	case Ballad:
		on.bass = b.Into == 0 || b.Into%2 == 0 && b.Of%2 == 0
		on.chords, on.holds = on.bass, true
		on.group /= 2
		if on.bass {
			return []stroke{on}, true
		}
		return nil, true
	}
	return nil, false
}

// boogie is how far over the root a walking bass goes, beat by beat, where a chord
// has a major third and a fifth.
var boogie = [8]int{0, 4, 7, 9, 10, 9, 7, 4}

// walk is the class of a walking bass so many beats into a chord.
func walk(c chord.Chord, into int) int {
	if into == 0 {
		return c.Bass
	}
	step := boogie[into%len(boogie)]
	if step == 4 && slices.Contains(c.Tones, 3) {
		step = 3
	}
	for _, fifth := range []int{6, 8} {
		if step == 7 && slices.Contains(c.Tones, fifth) && !slices.Contains(c.Tones, 7) {
			step = fifth
		}
	}
	return (c.Root + step) % 12
}

// turnaround leads back to the beginning: where one chord fills the last two bars of
// a shuffle, they become I, IV, I and V.
func (t Tune) turnaround() []Change {
	bars := t.bars()
	last := len(t.Changes) - 1
	if len(bars) < 8 || last < 0 {
		return t.Changes
	}
	from := bars[len(bars)-2]
	one := t.Changes[last]
	if from.Less(one.At) || one.Chord.Silent || len(one.Chord.Tones) == 0 {
		return t.Changes
	}
	middle := func(bar beat.Time) beat.Time { return bar.Plus(beat.Whole(t.Beats[len(t.Beats)-1].Of).Over(2)) }
	out := slices.Clone(t.Changes)
	return append(out,
		Change{middle(from), seventh(one.Chord.Root + 5)},
		Change{bars[len(bars)-1], one.Chord},
		Change{middle(bars[len(bars)-1]), seventh(one.Chord.Root + 7)})
}

// seventh is a dominant seventh chord.
func seventh(root int) chord.Chord {
	root %= 12
	return chord.Chord{Root: root, Bass: root, Tones: []int{0, 4, 7, 10}}
}

// bars are where the bars begin that are played.
func (t Tune) bars() (out []beat.Time) {
	for _, b := range t.Beats {
		if b.Into == 0 {
			out = append(out, b.At)
		}
	}
	return out
}

// end is where the last chord is struck and held: at the last bar or, if that is
// later, the last change.
func (t Tune) end() beat.Time {
	at := t.From
	if bars := t.bars(); len(bars) > 0 {
		at = beat.Max(at, bars[len(bars)-1])
	}
	for _, c := range t.Changes {
		if c.At.Less(t.To) {
			at = beat.Max(at, c.At)
		}
	}
	return at
}
