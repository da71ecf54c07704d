package harp

import (
	"errors"
	"fmt"
	"slices"
)

// layoutTonic is the MIDI note of hole-1 blow of a harp in C, the frame in
// which layouts are written down.
const layoutTonic = 60

// Layout says which notes the twenty reeds of a harp in C are.
type Layout struct {
	Name       string // "richter"; "custom" for one of the caller's own
	blow, draw [Holes]int
}

// Custom is the name of every layout made by [CustomLayout].
const Custom = "custom"

// The layouts in MIDI notes, hole 1 first.
var (
	// ref: OEIS A291810 gives these as 0 2 4 7 7 11 12 14 16 17 19 21 24 23 28
	// 26 31 29 36 33 above hole-1 blow, blow and draw in turn.
	richterBlow = [Holes]int{60, 64, 67, 72, 76, 79, 84, 88, 91, 96}
	richterDraw = [Holes]int{62, 67, 71, 74, 77, 81, 83, 86, 89, 93}

	// Both minor harps flatten the thirds that are blown.
	minorBlow = [Holes]int{60, 63, 67, 72, 75, 79, 84, 87, 91, 96}
)

// layouts are common practice, no source, but for the first.
var layouts = []Layout{
	{"richter", richterBlow, richterDraw},
	{"country", richterBlow, [Holes]int{62, 67, 71, 74, 78, 81, 83, 86, 89, 93}},
	{"raised-third", [Holes]int{60, 64, 69, 72, 76, 79, 84, 88, 91, 96}, richterDraw},
	{"natural-minor", minorBlow, [Holes]int{62, 67, 70, 74, 77, 81, 82, 86, 89, 93}},
	{"harmonic-minor", minorBlow, [Holes]int{62, 67, 71, 74, 77, 80, 83, 86, 89, 92}},
	{"solo", [Holes]int{60, 64, 67, 72, 72, 76, 79, 84, 84, 88}, [Holes]int{62, 65, 69, 71, 74, 77, 81, 83, 86, 89}},
}

// Layouts lists the names of the layouts that are known.
func Layouts() []string {
	names := make([]string, len(layouts))
	for i, l := range layouts {
		names[i] = l.Name
	}
	return names
}

// LayoutByName finds a layout. The error says which there are.
func LayoutByName(name string) (Layout, error) {
	i := slices.IndexFunc(layouts, func(l Layout) bool { return l.Name == name })
	if i < 0 {
		return Layout{}, fmt.Errorf("there is no layout %q: it is one of %s", name, list(Layouts()))
	}
	return layouts[i], nil
}

// The lowest and the highest reed of a custom layout, so that on the lowest and
// the highest harp every bend and over can still be heard: C2 and F7.
const (
	lowestReed  = 36
	highestReed = 101
)

// CustomLayout makes a layout of ten blow notes and ten draw notes, `C4` and so
// on, for a harp in C, each from C2 to F7. The error names every reed that is
// wrong.
func CustomLayout(blow, draw []string) (Layout, error) {
	l := Layout{Name: Custom}
	err := errors.Join(readReeds(Blow, blow, &l.blow), readReeds(Draw, draw, &l.draw))
	if err != nil {
		return Layout{}, err
	}
	return l, nil
}

func readReeds(breath Breath, names []string, into *[Holes]int) error {
	if len(names) != Holes {
		return fmt.Errorf("%s has %d notes: a harp has %d holes, so write %d", breath, len(names), Holes, Holes)
	}
	var problems error
	for i, name := range names {
		midi, err := ParseNote(name)
		if err == nil && (midi < lowestReed || midi > highestReed) {
			err = fmt.Errorf("%s is out of reach: a reed is from C2 to F7", name)
		}
		if err != nil {
			problems = errors.Join(problems, fmt.Errorf("%s %d: %w", breath, i+1, err))
		}
		into[i] = midi
	}
	return problems
}

// reed is the note of a reed on a harp in C.
func (l Layout) reed(hole int, breath Breath) int {
	if breath == Blow {
		return l.blow[hole-1]
	}
	return l.draw[hole-1]
}

// Depth is how many semitones a hole bends on a breath, 0 where it does not:
// only the higher reed of a hole bends, and it stops a semitone above the
// other. ref: Bahnson, Antaki & Beery, JASA 103(4), 1998, for the mechanism;
// where it stops is common practice, no source.
func (l Layout) Depth(hole int, breath Breath) int {
	return max(0, l.reed(hole, breath)-l.reed(hole, breath.Other())-1)
}

// Over says whether an over can be played on a hole with this breath: where
// the reed of the other breath is the higher one.
func (l Layout) Over(hole int, breath Breath) bool {
	return l.reed(hole, breath.Other()) > l.reed(hole, breath)
}

// RareOver says that few players get the over of this hole: 2, 3 and 8 (common
// practice, no source).
func RareOver(hole int) bool { return hole == 2 || hole == 3 || hole == 8 }
