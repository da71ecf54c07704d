package musicxml

import (
	"encoding/xml"
	"strconv"
	"strings"

	"reedlark/tab/beat"
)

// element is anything that stands in a measure, as it is read. Which fields it
// has depends on its name. ref: MusicXML 4.0, music-data.
type element struct {
	XMLName xml.Name

	// note, backup, forward
	Grace     *struct{}   `xml:"grace"`
	Cue       *struct{}   `xml:"cue"`
	Chord     *struct{}   `xml:"chord"`
	Pitch     *pitchRead  `xml:"pitch"`
	Duration  string      `xml:"duration"`
	Ties      []typed     `xml:"tie"`
	Voice     string      `xml:"voice"`
	Notehead  headRead    `xml:"notehead"`
	Notations []marksRead `xml:"notations"`
	Lyrics    []lyricRead `xml:"lyric"`

	// attributes
	Divisions string          `xml:"divisions"`
	Keys      []keyRead       `xml:"key"`
	Times     []timeRead      `xml:"time"`
	Transpose []transposeRead `xml:"transpose"`

	// direction, sound
	Directions []directionRead `xml:"direction-type"`
	Sound      *soundRead      `xml:"sound"`
	soundRead

	// harmony
	Root    []degreeRead `xml:"root"`
	Kind    []kind       `xml:"kind"`
	Bass    []bassRead   `xml:"bass"`
	Degrees []alterRead  `xml:"degree"`
	Offset  string       `xml:"offset"`

	// barline
	Location string       `xml:"location,attr"`
	Style    string       `xml:"bar-style"`
	Repeat   *repeatRead  `xml:"repeat"`
	Endings  []endingRead `xml:"ending"`
	Segno    *struct{}    `xml:"segno"`
	Coda     *struct{}    `xml:"coda"`
}

type marksRead struct {
	Glissandos []typed         `xml:"glissando"`
	Slides     []typed         `xml:"slide"`
	Shakes     []string        `xml:"ornaments>other-ornament"`
	Trills     []struct{}      `xml:"ornaments>trill-mark"`
	Holes      []string        `xml:"technical>other-technical"`
	Marks      []articulations `xml:"articulations"`
}

type pitchRead struct {
	Step   string `xml:"step"`
	Alter  string `xml:"alter"`
	Octave string `xml:"octave"`
}

type headRead struct {
	Parentheses string `xml:"parentheses,attr"`
}

type lyricRead struct {
	Number   string   `xml:"number,attr"`
	Syllabic []string `xml:"syllabic"`
	Text     []string `xml:"text"`
}

type keyRead struct {
	Fifths string `xml:"fifths"`
	Mode   string `xml:"mode"`
}

type timeRead struct {
	Beats   []string  `xml:"beats"`
	Unit    []string  `xml:"beat-type"`
	Without *struct{} `xml:"senza-misura"`
}

type transposeRead struct {
	Chromatic string `xml:"chromatic"`
	Octaves   string `xml:"octave-change"`
}

type directionRead struct {
	Words     []string       `xml:"words"`
	Rehearsal []string       `xml:"rehearsal"`
	Segno     *struct{}      `xml:"segno"`
	Coda      *struct{}      `xml:"coda"`
	Metronome *metronomeRead `xml:"metronome"`
}

type metronomeRead struct {
	Unit      string     `xml:"beat-unit"`
	Dots      []struct{} `xml:"beat-unit-dot"`
	PerMinute string     `xml:"per-minute"`
}

type soundRead struct {
	Tempo    string `xml:"tempo,attr"`
	DaCapo   string `xml:"dacapo,attr"`
	DalSegno string `xml:"dalsegno,attr"`
	SegnoAt  string `xml:"segno,attr"`
	CodaAt   string `xml:"coda,attr"`
	ToCoda   string `xml:"tocoda,attr"`
	Fine     string `xml:"fine,attr"`
}

type degreeRead struct {
	Step  string `xml:"root-step"`
	Alter string `xml:"root-alter"`
}

type bassRead struct {
	Step  string `xml:"bass-step"`
	Alter string `xml:"bass-alter"`
}

type alterRead struct {
	Value string `xml:"degree-value"`
	Alter string `xml:"degree-alter"`
	Type  string `xml:"degree-type"`
}

type repeatRead struct {
	Direction string `xml:"direction,attr"`
	Times     string `xml:"times,attr"`
}

type endingRead struct {
	Number string `xml:"number,attr"`
	Type   string `xml:"type,attr"`
}

// whole reads a whole number; 0 where there is none. A fraction is rounded down:
// an alteration of half a semitone has no note here.
func whole(text string) int {
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || x < -1e6 || x > 1e6 {
		return 0
	}
	return int(x)
}

// mostDuration is the longest note, in parts of a quarter.
const mostDuration = 1 << 40

// quarters is a number of divisions in quarters; ok is false for what is no
// number, or below zero.
func quarters(text string, divisions int64) (beat.Time, bool) {
	text = strings.TrimSpace(text)
	if n, err := strconv.ParseInt(text, 10, 64); err == nil {
		return beat.Whole(int(min(n, mostDuration))).Over(int(divisions)), n >= 0
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || !(x >= 0) || x > mostDuration {
		return beat.Time{}, false
	}
	return beat.FromFloat(x).Over(int(divisions)), true
}
