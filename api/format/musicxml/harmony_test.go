package musicxml_test

import (
	"encoding/xml"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/musicxml"
)

// harmonies is every chord of a file: measure, offset in divisions, root, kind,
// text and bass by the names of the standard.
func harmonies(t *testing.T, s musicxml.Sheet) string {
	t.Helper()
	out, err := musicxml.Write(t.Context(), s)
	require.NoError(t, err)
	var f struct {
		Measures []struct {
			Harmonies []struct {
				Step   string `xml:"root>root-step"`
				Alter  int    `xml:"root>root-alter"`
				Kind   string `xml:"kind"`
				Bass   string `xml:"bass>bass-step"`
				Under  int    `xml:"bass>bass-alter"`
				Offset string `xml:"offset"`
			} `xml:"harmony"`
		} `xml:"part>measure"`
	}
	require.NoError(t, xml.Unmarshal(out, &f))
	var words []string
	for i, m := range f.Measures {
		for _, h := range m.Harmonies {
			words = append(words, fmt.Sprintf("%d+%s %s%d %s %s%d", i, h.Offset, h.Step, h.Alter, h.Kind, h.Bass, h.Under))
		}
	}
	return strings.Join(words, ", ")
}

// Kinds are those of the standard's kind-value (MusicXML 4.0).
func TestChordsOverMeasures(t *testing.T) {
	s := sheet(t, "Metre: 4/4\nchords: C | Am7 F#m7b5/Bb | N.C. | G7#9\n4 4 5 5 | 6 6 -6 -6 | 4--- | 5---\n")
	assert.Equal(t, "0+ C0 major 0, 1+ A0 minor-seventh 0, 1+2 F1 half-diminished B-1, 2+ C0 none 0, 3+ G0 other 0", harmonies(t, s))
	s.Moved = -3 // on a harp in A
	assert.Equal(t, "0+ A0 major 0, 1+ F1 minor-seventh 0, 1+2 E-1 half-diminished G0, 2+ C0 none 0, 3+ E0 other 0", harmonies(t, s))
	s = sheet(t, "Harp: A\nchords: A\n4 4 5 5\n")
	s.ForC = true
	assert.Equal(t, "0+ C0 major 0", harmonies(t, s), "written as for a harp in C")
	assert.Empty(t, harmonies(t, sheet(t, "4 5\n")))
}
