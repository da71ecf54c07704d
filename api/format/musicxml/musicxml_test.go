package musicxml_test

import (
	"encoding/xml"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/musicxml"
	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
)

// The file as a reader sees it, by the names of the standard.
type file struct {
	Part struct {
		Measures []struct {
			Number   string `xml:"number,attr"`
			Implicit string `xml:"implicit,attr"`
			Attr     struct {
				Divisions int64  `xml:"divisions"`
				Fifths    int    `xml:"key>fifths"`
				Beats     string `xml:"time>beats"`
				Unit      string `xml:"time>beat-type"`
				Chromatic int    `xml:"transpose>chromatic"`
				Diatonic  int    `xml:"transpose>diatonic"`
			} `xml:"attributes"`
			Sound struct {
				Tempo string `xml:"tempo,attr"`
			} `xml:"direction>sound"`
			Notes []noteRead `xml:"note"`
		} `xml:"measure"`
	} `xml:"part"`
}

type noteRead struct {
	Rest  *struct{} `xml:"rest"`
	Grace *struct{} `xml:"grace"`
	Chord *struct{} `xml:"chord"`
	Pitch struct {
		Step   string `xml:"step"`
		Alter  int    `xml:"alter"`
		Octave int    `xml:"octave"`
	} `xml:"pitch"`
	Duration  int64    `xml:"duration"`
	Type      string   `xml:"type"`
	Dots      []string `xml:"dot"`
	Actual    int      `xml:"time-modification>actual-notes"`
	Normal    int      `xml:"time-modification>normal-notes"`
	Tied      []end    `xml:"notations>tied"`
	Tuplet    []end    `xml:"notations>tuplet"`
	Glissando []end    `xml:"notations>glissando"`
	Slide     []end    `xml:"notations>slide"`
	Arrow     string   `xml:"notations>technical>arrow>arrow-direction"`
	Tab       string   `xml:"notations>technical>other-technical"`
	Syllabic  string   `xml:"lyric>syllabic"`
	Text      string   `xml:"lyric>text"`
}

type end struct {
	Type string `xml:"type,attr"`
}

// brief writes a note down: pitch or r, kind, dots, tuplet, and what begins (<)
// and ends (>) there.
func (n noteRead) brief() string {
	out := "r"
	if n.Rest == nil {
		out = fmt.Sprint(n.Pitch.Step, strings.Repeat("b", max(0, -n.Pitch.Alter)), strings.Repeat("#", max(0, n.Pitch.Alter)), n.Pitch.Octave)
	}
	if n.Chord != nil {
		out = "+" + out
	}
	if n.Grace != nil {
		out = "grace " + out
	}
	out += " " + n.Type + strings.Repeat(".", len(n.Dots))
	if n.Actual > 0 {
		out += fmt.Sprintf(" %d:%d", n.Actual, n.Normal)
	}
	for _, m := range []struct {
		name string
		ends []end
	}{{"tie", n.Tied}, {"tuplet", n.Tuplet}, {"gliss", n.Glissando}, {"slide", n.Slide}} {
		for _, e := range m.ends {
			out += map[string]string{"start": " <", "stop": " >"}[e.Type] + m.name
		}
	}
	return out
}

func sheet(t *testing.T, page string) musicxml.Sheet {
	t.Helper()
	doc := tab.Parse(page, tab.Options{})
	require.False(t, doc.Problems.Has(diag.Error))
	key, _ := harp.ParseKey(doc.Head.Harp.Value) // none is C
	layout, err := harp.LayoutByName("richter")
	require.NoError(t, err)
	h, err := harp.New(key, layout, harp.Equal, 440)
	require.NoError(t, err)
	return musicxml.Sheet{Title: doc.Head.Title, Harp: h, Tempo: 100, Metre: doc.Metre, Piece: doc.Unfold()}
}

func parsed(t *testing.T, s musicxml.Sheet) (f file) {
	t.Helper()
	out, err := musicxml.Write(t.Context(), s)
	require.NoError(t, err)
	require.NoError(t, xml.Unmarshal(out, &f))
	return f
}

// Lengths and pitches are written out by hand, from what the page means.
func TestMeasures(t *testing.T) {
	cases := []struct {
		name, page string
		want       string // notes by commas, measures by bars
	}{
		{"plain", "Metre: 4/4\n4 -4- r\n", "C5 quarter, D5 half, r quarter"},
		{"no metre, no bars", "4 -4 5 -5 6\n", "C5 quarter, D5 quarter, E5 quarter, F5 quarter | G5 quarter"},
		{"over a bar line", "Metre: 3/4\n4 5- - 6 6\n", "C5 quarter, E5 half <tie | E5 quarter >tie, G5 quarter, G5 quarter"},
		{"five beats at once", "Metre: 5/4\n4----\n", "C5 whole <tie, C5 quarter >tie"},
		{"a chord over a bar line", "Metre: 2/4\nr 45-\n", "r quarter, C5 quarter <tie, +E5 quarter <tie | C5 quarter >tie, +E5 quarter >tie"},
		{"halves", "{4 5} 6\n", "C5 eighth, E5 eighth, G5 quarter"},
		{"a triplet", "{4 -4 5} 6\n", "C5 eighth 3:2 <tuplet, D5 eighth 3:2, E5 eighth 3:2 >tuplet, G5 quarter"},
		{"two triplets", "{4 -4 5} {5 -4 4}\n", "C5 eighth 3:2 <tuplet, D5 eighth 3:2, E5 eighth 3:2 >tuplet, E5 eighth 3:2 <tuplet, D5 eighth 3:2, C5 eighth 3:2 >tuplet"},
		{"two thirds and one", "{4- -4} 6\n", "C5 quarter 3:2 <tuplet, D5 eighth 3:2 >tuplet, G5 quarter"},
		{"three in two", "{4 -4 5}-\n", "C5 quarter 3:2 <tuplet, D5 quarter 3:2, E5 quarter 3:2 >tuplet"},
		{"a rest in a triplet", "{4 r 5}\n", "C5 eighth 3:2 <tuplet, r eighth 3:2, E5 eighth 3:2 >tuplet"},
		{"five in one", "{4 4 4 4 4}\n", "C5 16th 5:4 <tuplet, C5 16th 5:4, C5 16th 5:4, C5 16th 5:4, C5 16th 5:4 >tuplet"},
		{"three quarters of a beat", "{4-- 5}\n", "C5 eighth., E5 16th"},
		{"eighths as beats", "Metre: 6/8\nTempo: 200\n4- - 5- 6\n", "C5 quarter., E5 quarter, G5 eighth"},
		{"a grace", "(4)5 6\n", "grace C5 eighth, E5 quarter, G5 quarter"},
		{"along holes", "4 -> 6\n", "C5 quarter <gliss, G5 quarter >gliss"},
		{"on one hole", "-3// -> -3\n", "A4 quarter <slide, B4 quarter >slide"},
		{"twice", "Metre: 2/4\n|: 4 5 :|\n", "C5 quarter, E5 quarter"},
		{"a harp with sharps", "Harp: A\n-3/\n", "G4 quarter"},
		{"an over on a harp with flats", "Harp: F\n4* 6*\n", "Ab5 quarter, Eb6 quarter"},
	}
	for _, c := range cases {
		var measures []string
		for _, m := range parsed(t, sheet(t, c.page)).Part.Measures {
			var notes []string
			for _, n := range m.Notes {
				notes = append(notes, n.brief())
			}
			measures = append(measures, strings.Join(notes, ", "))
		}
		assert.Equal(t, c.want, strings.Join(measures, " | "), c.name)
	}
}

// Signatures of the major keys, sharps over zero (any primer of music).
func TestSignatures(t *testing.T) {
	for key, fifths := range map[string]int{"C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5, "F#": 6, "F": -1, "Bb": -2, "Eb": -3, "Ab": -4, "Db": -5, "low F": -1} {
		assert.Equal(t, fifths, parsed(t, sheet(t, "Harp: "+key+"\n4\n")).Part.Measures[0].Attr.Fifths, key)
	}
}

// Written for a C harp the notes are a C harp's. How far away it sounds is told
// in semitones and in steps of the scale: a G harp sounds a fourth lower.
func TestWrittenForC(t *testing.T) {
	for key, want := range map[string][2]int{"C": {0, 0}, "G": {-5, -3}, "F#": {6, 3}, "Db": {1, 1}, "low F": {-7, -4}, "A": {-3, -2}, "Bb": {-2, -1}, "high G": {7, 4}} {
		s := sheet(t, "Harp: "+key+"\n4 -3/\n")
		s.ForC = true
		m := parsed(t, s).Part.Measures[0]
		assert.Equal(t, "C5 quarter", m.Notes[0].brief(), key)
		assert.Equal(t, "Bb4 quarter", m.Notes[1].brief(), key)
		assert.Equal(t, want, [2]int{m.Attr.Chromatic, m.Attr.Diatonic}, key)
		assert.Zero(t, m.Attr.Fifths)
	}
}

func TestHeading(t *testing.T) {
	m := parsed(t, sheet(t, "Metre: 6/8\nTempo: 200\n4 | 4 4 4 5 5 5\n")).Part.Measures
	assert.Equal(t, []string{"6", "8", "50"}, []string{m[0].Attr.Beats, m[0].Attr.Unit, m[0].Sound.Tempo}, "100 eighths a minute are 50 quarters")
	assert.Equal(t, []string{"0", "yes", "1", ""}, []string{m[0].Number, m[0].Implicit, m[1].Number, m[1].Implicit})
}

func TestMarksOfTheHarp(t *testing.T) {
	n := parsed(t, sheet(t, "-45/ 4\n")).Part.Measures[0].Notes
	assert.Equal(t, []string{"down", "-45/"}, []string{n[0].Arrow, n[0].Tab})
	assert.Equal(t, []string{"", ""}, []string{n[1].Arrow, n[1].Tab}, "once for a chord")
	assert.Equal(t, []string{"up", "4"}, []string{n[2].Arrow, n[2].Tab})
}

func TestLyrics(t *testing.T) {
	s := sheet(t, "4 5 6 7\n")
	words := []string{"Ri-", "ver-", "side", "& <"}
	s.Lyric = func(e *tab.Event) string {
		return words[e.Start.Floor()]
	}
	var got []string
	for _, n := range parsed(t, s).Part.Measures[0].Notes {
		got = append(got, n.Syllabic+" "+n.Text)
	}
	assert.Equal(t, []string{"begin Ri", "middle ver", "end side", "single & <"}, got)
}

// pages are the tabs of the collection that can be played.
func pages(t *testing.T) map[string]string {
	names, err := filepath.Glob("../../../testdata/tabs/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	out := map[string]string{}
	for _, name := range names {
		page, err := os.ReadFile(name)
		require.NoError(t, err)
		if !tab.Parse(string(page), tab.Options{}).Problems.Has(diag.Error) {
			out[filepath.Base(name)] = string(page)
		}
	}
	return out
}

// begun is how many begin, less those that end.
func begun(ends []end) (n int) {
	for _, e := range ends {
		n += map[string]int{"start": 1, "stop": -1}[e.Type]
	}
	return n
}

// What a page repeats is a repeat, with endings where it has them; what lies within
// a note, or has other chords the second time, is written out.
func TestRepeats(t *testing.T) {
	for page, want := range map[string]string{
		"Metre: 2/4\n|: 4 5 | 6 6 :|\n":                      "open|close2",
		"Metre: 2/4\n|: 4 5 :| x3\n6 6 |\n":                  "open close3|",
		"Metre: 2/4\n|: 4 5 |1 6 6 :|2 7 7 | 8 8 |\n":        "open|begin1 close2 end|begin2 end|",
		"Metre: 2/4\n4 5 | 6 6 |\n4 5 | 6 6 |\n":             "|||",
		"Metre: 2/4\n4 5 | 6 6 | D.C.\n":                     "open|close2",
		"Metre: 2/4\n4 5 | 6 6 | Fine\n7 7 | D.C. al Fine\n": "||||",
		"Metre: 3/4\n4 |: 4 5 6 | 6- - :| 4 4 4 |\n":         "|open|close2|",
	} {
		text, err := musicxml.Write(t.Context(), sheet(t, page))
		require.NoError(t, err)
		back, err := musicxml.Read(text)
		require.NoError(t, err)
		var got []string
		for _, b := range back[0].Bars {
			var signs []string
			if b.Open {
				signs = append(signs, "open")
			}
			for _, n := range b.Endings {
				signs = append(signs, fmt.Sprint("begin", n))
			}
			if b.Close > 0 {
				signs = append(signs, fmt.Sprint("close", b.Close))
			}
			if b.Stop {
				signs = append(signs, "end")
			}
			got = append(got, strings.Join(signs, " "))
		}
		assert.Equal(t, want, strings.Join(got, "|"), page)
	}
}

// Every page of the collection is written from its first beat to its last, and
// whatever begins ends.
func TestEveryPage(t *testing.T) {
	for name, page := range pages(t) {
		s := sheet(t, page)
		open := map[string]int{}
		for _, m := range parsed(t, s).Part.Measures {
			for _, n := range m.Notes {
				for kind, ends := range map[string][]end{"tie": n.Tied, "tuplet": n.Tuplet, "gliss": n.Glissando, "slide": n.Slide} {
					open[kind] += begun(ends)
				}
			}
		}
		want := s.Piece.Beats.Float()
		if s.Metre.Unit > 0 {
			want *= 4 / float64(s.Metre.Unit)
		}
		text, err := musicxml.Write(t.Context(), s)
		require.NoError(t, err)
		back, err := musicxml.Read(text)
		require.NoError(t, err)
		played, ok := back[0].Unfold()
		assert.True(t, ok)
		assert.InDelta(t, want, played.Length.Float(), 1e-6, name)
		for kind, n := range open {
			assert.Zero(t, n, "%s: %s", name, kind)
		}
	}
}
