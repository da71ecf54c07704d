package musicxml

import (
	"encoding/xml"

	"reedlark/tab/beat"
)

// The elements of a file, in the order the schema has them. A pointer or an
// empty string is an element that may be missing.

type document struct {
	XMLName  xml.Name `xml:"score-partwise"`
	Version  string   `xml:"version,attr"`
	Title    string   `xml:"work>work-title,omitempty"`
	Software string   `xml:"identification>encoding>software"`
	Part     partInfo `xml:"part-list>score-part"`
	Body     partBody `xml:"part"`
}

type partInfo struct {
	ID         string         `xml:"id,attr"`
	Name       string         `xml:"part-name"`
	Instrument instrument     `xml:"score-instrument"`
	MIDI       midiInstrument `xml:"midi-instrument"`
}

type instrument struct {
	ID   string `xml:"id,attr"`
	Name string `xml:"instrument-name"`
}

type midiInstrument struct {
	ID      string `xml:"id,attr"`
	Channel int    `xml:"midi-channel"`
	Program int    `xml:"midi-program"`
}

type partBody struct {
	ID       string     `xml:"id,attr"`
	Measures []*measure `xml:"measure"`
}

type measure struct {
	Number     int         `xml:"number,attr"`
	Implicit   string      `xml:"implicit,attr,omitempty"`
	Attributes any         `xml:"attributes"` // *attributes or *newTime
	Left       *leftLine   `xml:",any"`
	Directions []direction `xml:"direction"`
	Harmonies  []harmony   `xml:"harmony"`
	Notes      []*note     `xml:"note"`
	Barline    *barline    `xml:"barline"`
}

// newTime is a change of metre.
type newTime struct {
	Time time `xml:"time"`
}

type attributes struct {
	Divisions int64      `xml:"divisions"`
	Fifths    int        `xml:"key>fifths"`
	Time      time       `xml:"time"`
	Sign      string     `xml:"clef>sign"`
	Line      int        `xml:"clef>line"`
	Transpose *transpose `xml:"transpose"`
}

type time struct {
	Beats   int     `xml:"beats,omitempty"`
	Unit    int     `xml:"beat-type,omitempty"`
	Without *string `xml:"senza-misura"`
}

type transpose struct {
	Diatonic  int `xml:"diatonic"`
	Chromatic int `xml:"chromatic"`
}

type direction struct {
	Placement string     `xml:"placement,attr"`
	Words     string     `xml:"direction-type>words,omitempty"`
	Metronome *metronome `xml:"direction-type>metronome"`
	Sound     *sound     `xml:"sound"`
}

type metronome struct {
	Unit      string `xml:"beat-unit"`
	PerMinute string `xml:"per-minute"`
}

type sound struct {
	Tempo string `xml:"tempo,attr"` // quarters a minute
}

type barline struct {
	Location string      `xml:"location,attr"`
	Style    string      `xml:"bar-style,omitempty"`
	Ending   *ending     `xml:"ending"`
	Repeat   *repeatSign `xml:"repeat"`
}

// leftLine is a barline before the notes of a measure.
type leftLine struct {
	XMLName  xml.Name    `xml:"barline"`
	Location string      `xml:"location,attr"`
	Style    string      `xml:"bar-style,omitempty"`
	Ending   *ending     `xml:"ending"`
	Repeat   *repeatSign `xml:"repeat"`
}

type ending struct {
	Number int    `xml:"number,attr"`
	Type   string `xml:"type,attr"`
}

type repeatSign struct {
	Direction string `xml:"direction,attr"`
	Times     int    `xml:"times,attr,omitempty"`
}

type empty struct{}

type note struct {
	Grace     *empty            `xml:"grace"`
	Chord     *empty            `xml:"chord"`
	Pitch     *pitch            `xml:"pitch"`
	Rest      *empty            `xml:"rest"`
	Duration  int64             `xml:"duration,omitempty"`
	Ties      []typed           `xml:"tie"`
	Voice     int               `xml:"voice"`
	Type      string            `xml:"type,omitempty"`
	Dots      []empty           `xml:"dot"`
	Modified  *timeModification `xml:"time-modification"`
	Head      *notehead         `xml:"notehead"`
	Notations *notations        `xml:"notations"`
	Lyric     *lyric            `xml:"lyric"`

	length beat.Time // quarters; Duration is reckoned from it
	source int       // the byte of the page that it comes from
}

type pitch struct {
	Step   string `xml:"step"`
	Alter  int    `xml:"alter,omitempty"`
	Octave int    `xml:"octave"`
}

type typed struct {
	Type string `xml:"type,attr"`
}

type timeModification struct {
	Actual int `xml:"actual-notes"`
	Normal int `xml:"normal-notes"`
}

type notehead struct {
	Parentheses string `xml:"parentheses,attr"`
	Shape       string `xml:",chardata"`
}

type notations struct {
	Tied          []typed        `xml:"tied"`
	Tuplets       []typed        `xml:"tuplet"`
	Glissandos    []typed        `xml:"glissando"`
	Slides        []typed        `xml:"slide"`
	Ornament      string         `xml:"ornaments>other-ornament,omitempty"`
	Technical     *technical     `xml:"technical"`
	Articulations *articulations `xml:"articulations"`
}

type technical struct {
	Direction string `xml:"arrow>arrow-direction"`
	Tab       string `xml:"other-technical"`
}

type articulations struct {
	Scoop   *empty `xml:"scoop"`
	Falloff *empty `xml:"falloff"`
	Breath  *empty `xml:"breath-mark"`
}

type lyric struct {
	Number   int    `xml:"number,attr"`
	Syllabic string `xml:"syllabic"`
	Text     string `xml:"text"`
}
