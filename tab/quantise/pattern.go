package quantise

import "slices"

// ticks are twelfths of a beat: every place that is counted aloud is a whole
// number of them.
type ticks int

const perBeat ticks = 12

// slots are the places within a beat, and the bits that stand for them in a
// pattern.
var slots = []ticks{0, 3, 4, 6, 8, 9}

// pattern says which slots of a beat have a note, one bit each.
type pattern uint8

// patternOf is the pattern with notes at these ticks.
func patternOf(at ...ticks) (p pattern) {
	for _, t := range at {
		p |= 1 << slices.Index(slots, t)
	}
	return p
}

// has says that a slot, by its index, has a note.
func (p pattern) has(slot int) bool { return p>>slot&1 == 1 }

// upTo is the pattern without what comes after a slot.
func (p pattern) upTo(slot int) pattern { return p & (1<<(slot+1) - 1) }

// weighed is a pattern and how often it occurs.
type weighed struct {
	pattern pattern
	weight  float64
}

// simple is how a beat that is a quarter, or a half, is filled: where it has a
// note on the beat, and where it has none. by ear: songs and dances for the
// harmonica; the order of the patterns is that of Temperley's tables for folk
// songs, the figures are not.
var simple = [2][]weighed{
	{
		{patternOf(), .804},
		{patternOf(6), .150},
		{patternOf(9), .012},
		{patternOf(6, 9), .012},
		{patternOf(3), .002},
		{patternOf(3, 6), .003},
		{patternOf(3, 6, 9), .005},
		{patternOf(8), .004},
		{patternOf(4, 8), .006},
		{patternOf(4), .002},
	},
	{
		{patternOf(0), .668},
		{patternOf(0, 6), .210},
		{patternOf(0, 9), .034},
		{patternOf(0, 3, 6, 9), .020},
		{patternOf(0, 6, 9), .018},
		{patternOf(0, 3, 6), .010},
		{patternOf(0, 3), .006},
		{patternOf(0, 3, 9), .004},
		{patternOf(0, 4, 8), .020},
		{patternOf(0, 8), .006},
		{patternOf(0, 4), .004},
	},
}

// swung is the same where halves are played late: quarters hardly occur.
var swung = [2][]weighed{
	{{patternOf(), .800}, {patternOf(6), .180}, {patternOf(4), .004}, {patternOf(4, 8), .016}},
	{{patternOf(0), .610}, {patternOf(0, 6), .330}, {patternOf(0, 4, 8), .050}, {patternOf(0, 4), .010}},
}

// compound is the same for a beat that is an eighth, of which three make a group.
var compound = [2][]weighed{
	{{patternOf(), .930}, {patternOf(6), .060}, {patternOf(9), .005}, {patternOf(6, 9), .005}},
	{{patternOf(0), .890}, {patternOf(0, 6), .090}, {patternOf(0, 9), .008}, {patternOf(0, 3, 6, 9), .008}, {patternOf(0, 6, 9), .004}},
}

// style is what a bar is expected to hold.
type style struct {
	metre Metre
	swing float64
	fill  [2][]weighed // without and with a note on the beat
}

func styleOf(m Metre, swing float64) style {
	s := style{metre: m, swing: swing, fill: simple}
	switch {
	case m.compound():
		s.fill = compound
	case swing > 0.5:
		s.fill = swung
	}
	return s
}

// compound says that beats come in groups of three, as in 6/8.
func (m Metre) compound() bool { return m.Unit >= 8 && m.Beats%3 == 0 }

// group is the smallest bar with the feel of the metre: one beat, or one group.
func (m Metre) group() Metre {
	if m.compound() {
		return Metre{3, m.Unit}
	}
	return Metre{1, m.Unit}
}

// onBeat is how likely a beat of the bar, from 0, has a note that begins on it.
// by ear, see simple.
func (m Metre) onBeat(b int) float64 {
	switch {
	case b == 0:
		return .93
	case m.compound():
		return [...]float64{.85, .42, .62}[b%3]
	case m.Beats%2 == 0 && b == m.Beats/2:
		return .82
	}
	return .72
}

// starts is how likely a tune begins on a beat of the bar: most do on the first,
// others with a pick-up. by ear.
func (m Metre) starts(b int) float64 {
	switch {
	case m.Beats == 1:
		return 1
	case b == 0:
		return .6
	case b == m.Beats-1:
		return .25
	}
	return .15 / float64(max(m.Beats-2, 1))
}

// fitted is the style with the patterns that a reading of the tune found made
// likelier: the usual figures count as much as so many beats.
func (s style) fitted(found map[pattern]int) style {
	const usual = 32
	for on, list := range s.fill {
		sum := 0
		for _, w := range list {
			sum += found[w.pattern]
		}
		fill := make([]weighed, len(list))
		for i, w := range list {
			fill[i] = weighed{w.pattern, (usual*w.weight + float64(found[w.pattern])) / (usual + float64(sum))}
		}
		s.fill[on] = fill
	}
	return s
}

// played is where a place within a bar falls, in beats, swing included.
func (s style) played(at ticks) float64 {
	whole, part := at/perBeat, at%perBeat
	if part == perBeat/2 && s.swing > 0 {
		return float64(whole) + s.swing
	}
	return float64(at) / float64(perBeat)
}
