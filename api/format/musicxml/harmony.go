package musicxml

import (
	"slices"

	"reedlark/tab/chord"
)

// harmony is a chord over a measure: where in it is an offset from its start.
type harmony struct {
	Root   degree  `xml:"root"`
	Kind   kind    `xml:"kind"`
	Bass   *bass   `xml:"bass"`
	Offset *string `xml:"offset"` // divisions
}

type degree struct {
	Step  rootStep `xml:"root-step"`
	Alter int      `xml:"root-alter,omitempty"`
}

type rootStep struct {
	Text *string `xml:"text,attr"`
	Step string  `xml:",chardata"`
}

type bass struct {
	Step  string `xml:"bass-step"`
	Alter int    `xml:"bass-alter,omitempty"`
}

type kind struct {
	Text string `xml:"text,attr"`
	Name string `xml:",chardata"`
}

// kinds are the kinds of chord there is a word for, by their tones. ref:
// MusicXML 4.0, kind-value.
var kinds = []struct {
	tones []int
	name  string
}{
	{[]int{0, 4, 7}, "major"},
	{[]int{0, 3, 7}, "minor"},
	{[]int{0, 4, 8}, "augmented"},
	{[]int{0, 3, 6}, "diminished"},
	{[]int{0, 4, 7, 10}, "dominant"},
	{[]int{0, 4, 7, 11}, "major-seventh"},
	{[]int{0, 3, 7, 10}, "minor-seventh"},
	{[]int{0, 3, 6, 9}, "diminished-seventh"},
	{[]int{0, 4, 8, 10}, "augmented-seventh"},
	{[]int{0, 3, 6, 10}, "half-diminished"},
	{[]int{0, 3, 7, 11}, "major-minor"},
	{[]int{0, 4, 7, 9}, "major-sixth"},
	{[]int{0, 3, 7, 9}, "minor-sixth"},
	{[]int{0, 4, 7, 10, 2}, "dominant-ninth"},
	{[]int{0, 4, 7, 11, 2}, "major-ninth"},
	{[]int{0, 3, 7, 10, 2}, "minor-ninth"},
	{[]int{0, 2, 7}, "suspended-second"},
	{[]int{0, 5, 7}, "suspended-fourth"},
	{[]int{0, 7}, "power"},
}

// newHarmony is a chord without its place. What there is no word for keeps its
// symbol.
func newHarmony(c chord.Chord) harmony {
	if c.Silent {
		unseen := "" // the standard asks for a root all the same
		return harmony{Root: degree{Step: rootStep{&unseen, "C"}}, Kind: kind{"N.C.", "none"}}
	}
	root, quality, under := c.Spelling()
	h := harmony{Kind: kind{quality, "other"}}
	h.Root.Step.Step, h.Root.Alter = root[:1], alter(root)
	for _, k := range kinds {
		if slices.Equal(k.tones, c.Tones) {
			h.Kind.Name = k.name
		}
	}
	if under != "" {
		h.Bass = &bass{under[:1], alter(under)}
	}
	return h
}

// alter is by how many semitones the sign of a name moves its letter.
func alter(name string) int {
	switch name[1:] {
	case "#":
		return 1
	case "b":
		return -1
	}
	return 0
}

// harmonize writes the chords over the measures they begin in. parts are the
// divisions of a quarter.
func (w *writer) harmonize(parts int64) {
	by := w.Moved
	if w.ForC {
		by -= w.Harp.Key.Tonic()
	}
	for _, c := range w.Piece.Chords {
		i := w.measureAt(c.At)
		h := newHarmony(c.Chord.Moved(by))
		if into := c.At.Minus(w.starts[i]); into.Sign() > 0 {
			offset := decimal(w.quarters(into).Times(int(parts)).Float())
			h.Offset = &offset
		}
		w.measures[i].Harmonies = append(w.measures[i].Harmonies, h)
	}
}
