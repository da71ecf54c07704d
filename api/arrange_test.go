package api_test

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
	"reedlark/tab/diag"
)

// arranged arranges a file, for a harp in C where nothing else is asked for.
func arranged(t require.TestingT, file []byte, pairs ...string) *openapi.Arrangement {
	s := api.NewSearch(api.ArrangeLimit)
	for i := 0; i < len(pairs); i += 2 {
		require.NoError(t, s.Set(pairs[i], pairs[i+1]))
	}
	a, err := api.Arrange(context.Background(), s, api.ScoreFile{Data: file})
	require.NoError(t, err)
	return a
}

// tune is an ABC tune in C, in quarters.
func tune(music string) []byte {
	return []byte("X:1\nT:Test\nM:4/4\nL:1/4\nK:C\n" + music + "\n")
}

// The pages are written out by hand from what the scores mean; the tunes are
// invented.
func TestArrangedPages(t *testing.T) {
	const head = "Title: Test\nHarp: C\nMetre: 4/4\n"
	for name, c := range map[string]struct{ music, page string }{
		"repeat":        {"|:CDEF|G4:|", "\n|: 4 -4 5 -5 | 6--- :|\n"},
		"endings":       {"|:CDEF|1G4:|2C4|]", "\n|: 4 -4 5 -5 |1 6--- :|2 4--- ||\n"},
		"da capo":       {"CDEF|G4!fine!|EDCD|E4!D.C.alfine!|", "\n4 -4 5 -5 | 6--- | Fine\n5 -4 4 -4 | 5--- | D.C. al Fine\n"},
		"pick-up":       {"G|CDEF|G3|]", "\n6 | 4 -4 5 -5 | 6-- ||\n"},
		"inside a beat": {"|:G/|C2E2|G2E3/2:|", "\n{r 6} |\n|: 4- 5- |1 6- {5-- 6}- :|2 6- {5-- r}- |\n"},
		"words":         {"CDEF|G2E2\nw: one two three-_ and go|", "\n4   -4  5      -5 | 6-  5- |\none two three- _    and go\n"},
		"verses":        {"CD\nw:a b\nw:c d|", "\n4 -4 |\na b\n\ntext: Verse 2\ntext: c d\n"},
		"chords":        {"\"C\"CD\"G7\"EF|\"C\"G4|", "\nchords: C G7 | C\n4 -4 5 -5 | 6--- |\n"},
		"metre":         {"CDEF|[M:3/4]CDE|", "\n4 -4 5 -5 |\nMetre: 3/4\n4 -4 5 |\n"},
		"a tie":         {"C2E2-|E4|", "\n4- 5- | - - - - |\n"},
		"grace notes":   {"{D}C2{EF}E2|", "\n(-4)4- (5 -5)5- |\n"},
		"chords of one": {"[CEG]2[CF]2|", "# of 1 chord only the top note is played, since no one breath has the others\n\n456- -5- |\n"},
		"swing":         {"CDEF|", "\n4 -4 5 -5 |\n"},
	} {
		a := arranged(t, tune(c.music), "harp", "C", "octave", "1")
		assert.Equal(t, head+c.page, a.Tab, name)
		a = arranged(t, tune(strings.ToUpper("")+c.music), "harp", "C", "octave", "1", "limit", "1")
		assert.Len(t, a.Ways, 1, name)
	}
}

func TestWhatIsChosenIsSaid(t *testing.T) {
	book := []byte("X:1\nT:Two\nM:4/4\nL:1/4\nK:C\nV:1\nG,A,B,C|\nV:2\nc2 e2|\nw:la la\n")
	a := arranged(t, book, "harp", "C")
	assert.Equal(t, "2", a.Part)
	assert.Contains(t, a.Tab, `# the melody is the part "2" (it has words); left out: "1"`)
	require.NotEmpty(t, a.Diagnostics)
	assert.Equal(t, diag.ScoreRead, a.Diagnostics[0].Code)
	assert.Equal(t, 4, a.Diagnostics[0].Line)
	assert.Equal(t, "1", arranged(t, book, "harp", "C", "part", "1").Part)
}

// Each harp at most once, the cheapest first; the page is for the first.
func TestWaysOfAnArrangement(t *testing.T) {
	a := arranged(t, tune("GABc|d2 ^f2|g4|"))
	require.Len(t, a.Ways, api.ArrangeLimit)
	assert.Equal(t, "G", a.Harp, "a scale of G")
	assert.Equal(t, a.Harp, a.Ways[0].Harp)
	seen := map[string]bool{}
	for i, w := range a.Ways {
		assert.False(t, seen[w.Harp])
		seen[w.Harp] = true
		assert.GreaterOrEqual(t, w.Cost, 0.0)
		if i > 0 {
			assert.LessOrEqual(t, a.Ways[i-1].Cost, w.Cost)
		}
	}
	low := arranged(t, tune("C,D,E,F,|G,4|"), "have", "low C,low F")
	assert.Equal(t, "low C", low.Harp)
}

func TestLostNotes(t *testing.T) {
	a := arranged(t, tune("G|C_EDC|"), "harp", "C", "octave", "0", "allow_bends", "none", "allow_overs", "false")
	assert.Equal(t, []openapi.Lost{{Bar: "1", What: "Eb4"}}, a.Lost)
	assert.Equal(t, "Title: Test\nHarp: C\nMetre: 4/4\n\n# bar 1: the harp in C has no Eb4; a rest stands for it\n3 | 1 r -1 1 |\n", a.Tab)
	require.Len(t, a.Diagnostics, 1)
	d := a.Diagnostics[0]
	assert.Equal(t, [3]any{diag.NoteLost, 6, 7}, [3]any{d.Code, d.Line, d.Column})
	assert.Equal(t, []string{"Eb4"}, a.Ways[0].Missing)
}

// sheet is a score of two measures in both forms of MusicXML.
func sheet(byParts bool) string {
	const first = `<attributes><divisions>2</divisions><key><fifths>1</fifths></key><time><beats>3</beats><beat-type>4</beat-type></time></attributes>
<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony>
<note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration><lyric><syllabic>begin</syllabic><text>A</text></lyric></note>
<note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch><duration>3</duration><lyric><syllabic>end</syllabic><text>way</text></lyric></note>
<note><pitch><step>D</step><octave>5</octave></pitch><duration>1</duration></note>`
	const second = `<note><pitch><step>G</step><octave>5</octave></pitch><duration>4</duration></note><note><rest/><duration>2</duration></note>
<barline location="right"><repeat direction="backward"/></barline>`
	const list = `<work><work-title>Far</work-title></work><part-list><score-part id="P1"><part-name>Voice</part-name></score-part></part-list>`
	if byParts {
		return `<?xml version="1.0"?><!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
<score-partwise>` + list + `<part id="P1"><measure number="1">` + first + `</measure><measure number="2">` + second + `</measure></part></score-partwise>`
	}
	return `<?xml version="1.0"?><score-timewise>` + list + `<measure number="1"><part id="P1">` + first + `</part></measure><measure number="2"><part id="P1">` + second + `</part></measure></score-timewise>`
}

// One score in every form that MusicXML has: by parts and by measures, zipped, in
// UTF-16 and in Latin-1.
func TestFormsOfMusicXML(t *testing.T) {
	want := arranged(t, []byte(sheet(true)), "harp", "G")
	assert.Equal(t, "Title: Far\nHarp: G\nMetre: 3/4\n\nchords: G | G\n|: 4  {-7-- 6}- | 7- r :|\n   A- way   _     _\n", want.Tab)
	assert.Equal(t, "Voice", want.Part)

	wide := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(sheet(true))) {
		wide = binary.LittleEndian.AppendUint16(wide, u)
	}
	latin := strings.Replace(strings.Replace(sheet(true), `<?xml version="1.0"?>`, `<?xml version="1.0" encoding="ISO-8859-1"?>`, 1), "Far", "Far", 1)
	for name, file := range map[string][]byte{"by measures": []byte(sheet(false)), "zipped": zipped(t, sheet(true)), "UTF-16": wide, "Latin-1": []byte(latin)} {
		assert.Equal(t, want.Tab, arranged(t, file, "harp", "G").Tab, name)
	}
}

// zipped is a score in a zip file.
func zipped(t require.TestingT, score string) []byte {
	var packed bytes.Buffer
	z := zip.NewWriter(&packed)
	for name, text := range map[string]string{
		"META-INF/container.xml": `<container><rootfiles><rootfile full-path="a/score.xml"/></rootfiles></container>`, "a/score.xml": score,
	} {
		f, err := z.Create(name)
		require.NoError(t, err)
		_, err = f.Write([]byte(text))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return packed.Bytes()
}

// Every reader names what is wrong, and where.
func TestScoresThatCannotBeUsed(t *testing.T) {
	part := func(measure string) string {
		return `<score-partwise><part id="P1"><measure number="7">` + measure + `</measure></part></score-partwise>`
	}
	for file, says := range map[string]string{
		"":                  "X:1",
		"X:1\nK:C\nz4|":     "no melody",
		"<html></html>":     "<html>",
		"<score-partwise/>": "no part",
		part("<note>"):      "line 1",
		"<!DOCTYPE score-partwise [<!ENTITY a \"b\">]><score-partwise/>": "declarations",
		part("&a;"): "line 1",
		part("<note><pitch><step>H</step><octave>4</octave></pitch><duration>1</duration></note>"): "measure 7",
		part("<note><pitch><step>C</step><octave>4</octave></pitch><duration>x</duration></note>"): `duration is "x"`,
		part("<attributes><divisions>0</divisions></attributes>"):                                  "divisions",
		part("<note><unpitched/><duration>1</duration></note>"):                                    "no melody",
		"<?xml version=\"1.0\" encoding=\"EBCDIC\"?><score-partwise/>":                             "ebcdic",
		"PK\x03\x04broken": "zip",
		"MThd":             "MThd",
		"MThd\x00\x00\x00\x06\x00\x02\x00\x01\x00\x60MTrk\x00\x00\x00\x00":                                                 "type 2",
		"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x03\x00\x90\x3c":                                     "byte",
		"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x0c\x00\x99\x3c\x40\x60\x89\x3c\x00\x00\xff\x2f\x00": "no melody",
		strings.Repeat("<score-partwise>", 1000):                                                                           "deep",
	} {
		_, err := api.Arrange(context.Background(), api.NewSearch(1), api.ScoreFile{Data: []byte(file)})
		var refused *api.ScoreError
		require.ErrorAs(t, err, &refused, "%.60q", file)
		assert.Contains(t, refused.Detail, says, "%.60q", file)
		assert.Equal(t, api.TabFailure, api.FailureOf(err))
	}
}

// Tunes of any length end soon: they are refused where no page holds them.
func TestLongScores(t *testing.T) {
	long := tune(strings.Repeat("CDEF|", 50_000))
	_, err := api.Arrange(context.Background(), api.NewSearch(1), api.ScoreFile{Data: long})
	assert.ErrorContains(t, err, "too long for one page")
	_, err = api.Arrange(context.Background(), api.NewSearch(1), api.ScoreFile{Data: make([]byte, api.MaxScore+1)})
	assert.ErrorContains(t, err, "2 MiB")
}

// BenchmarkArrange is a score of 100,000 notes, which no page holds: it is read,
// and put on twelve harps.
func BenchmarkArrange(b *testing.B) {
	var xml strings.Builder
	xml.WriteString(`<score-partwise><part id="P1">`)
	for i := range 12_500 {
		fmt.Fprintf(&xml, `<measure number="%d">`, i)
		for k := range 8 {
			fmt.Fprintf(&xml, "<note><pitch><step>%c</step><octave>5</octave></pitch><duration>1</duration></note>", "CDEFGAB"[(i+k)%7])
		}
		xml.WriteString("</measure>")
	}
	xml.WriteString(`</part></score-partwise>`)
	for name, file := range map[string][]byte{
		"ABC":      tune(strings.Repeat("CDEF|", 25_000)),
		"page":     tune(strings.Repeat("CDEF|", 1_000)),
		"MusicXML": zipped(b, xml.String()),
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, _ = api.Arrange(context.Background(), api.NewSearch(6), api.ScoreFile{Data: file})
			}
		})
	}
}

// BenchmarkFind is a typed melody of 2,000 notes.
func BenchmarkFind(b *testing.B) {
	for name, notes := range map[string]int{"10": 10, "2000": 2000} {
		b.Run(name, func(b *testing.B) {
			s := api.NewSearch(api.FindLimit)
			require.NoError(b, s.Set("melody", strings.Repeat("C5:1/2 F#5 ", notes/2)))
			for b.Loop() {
				_, err := api.Find(context.Background(), s)
				require.NoError(b, err)
			}
		})
	}
}
