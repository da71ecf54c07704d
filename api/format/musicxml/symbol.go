package musicxml

import (
	"strings"

	"reedlark/tab/chord"
)

// qualities are the kinds of chord as symbols have them. ref: MusicXML 4.0,
// kind-value.
var qualities = map[string]string{
	"major": "", "minor": "m", "augmented": "aug", "diminished": "dim", "dominant": "7", "major-seventh": "maj7",
	"minor-seventh": "m7", "diminished-seventh": "dim7", "augmented-seventh": "7#5", "half-diminished": "m7b5",
	"major-minor": "mmaj7", "major-sixth": "6", "minor-sixth": "m6", "dominant-ninth": "9", "major-ninth": "maj9",
	"minor-ninth": "m9", "dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11", "dominant-13th": "13",
	"major-13th": "maj13", "minor-13th": "m13", "suspended-second": "sus2", "suspended-fourth": "sus4", "power": "5",
}

// symbol is a harmony as musicians write it, moved by semitones.
func symbol(e *element, moved int) string {
	k := e.Kind[0]
	if strings.TrimSpace(k.Name) == "none" {
		return "N.C."
	}
	root := strings.TrimSpace(e.Root[0].Step) + accidental(e.Root[0].Alter)
	bass := ""
	if len(e.Bass) > 0 {
		bass = "/" + strings.TrimSpace(e.Bass[0].Step) + accidental(e.Bass[0].Alter)
	}
	quality, known := qualities[strings.TrimSpace(k.Name)]
	if _, err := chord.Parse(root + k.Text + bass); err == nil && k.Text != "" || !known {
		quality = k.Text
	} else {
		quality += degrees(e.Degrees)
	}
	c, err := chord.Parse(root + quality + bass)
	if err != nil {
		return root + quality + bass
	}
	return c.Moved(moved).Symbol
}

func accidental(alter string) string {
	n := whole(alter)
	return strings.Repeat("#", max(0, min(n, 2))) + strings.Repeat("b", max(0, min(-n, 2)))
}

// degrees are the notes that are added to a kind of chord, altered or left out.
func degrees(all []alterRead) (out string) {
	for _, d := range all {
		value := strings.TrimSpace(d.Value)
		switch sign := accidental(d.Alter); {
		case d.Type == "subtract":
			out += "no" + value
		case sign != "":
			out += sign + value
		case d.Type == "add":
			out += "add" + value
		}
	}
	return out
}
