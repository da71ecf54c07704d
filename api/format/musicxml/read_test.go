package musicxml_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/musicxml"
	"reedlark/tab/melody"
)

// parts reads measures of one part.
func parts(t *testing.T, measures ...string) []*melody.Tune {
	t.Helper()
	var b strings.Builder
	b.WriteString(`<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list><part id="P1">`)
	for i, m := range measures {
		fmt.Fprintf(&b, `<measure number="%d">%s</measure>`, i+1, m)
	}
	b.WriteString(`</part></score-partwise>`)
	out, err := musicxml.Read([]byte(b.String()))
	require.NoError(t, err)
	return out
}

// note is a note in quarters, with what else stands in it.
func note(step string, octave, duration int, more string) string {
	alter := strings.Count(step, "#") - strings.Count(step, "b")
	return fmt.Sprintf("<note>%s<pitch><step>%s</step><alter>%d</alter><octave>%d</octave></pitch><duration>%d</duration></note>", more, step[:1], alter, octave, duration)
}

func said(t *melody.Tune) (out string) {
	for _, n := range t.Notes {
		for i, p := range n.Pitches {
			if i > 0 {
				out += "+"
			}
			out += p.Name
		}
		out += fmt.Sprintf("@%s+%s ", n.At, n.Length)
	}
	return strings.TrimSpace(out)
}

// What the elements mean is what the standard says. ref: MusicXML 4.0.
func TestReadNotes(t *testing.T) {
	for name, c := range map[string]struct {
		measures []string
		want     string
	}{
		"divisions":   {[]string{"<attributes><divisions>4</divisions></attributes>" + note("C", 4, 2, "") + note("F#", 5, 6, "")}, "C4@0+1/2 F#5@1/2+3/2"},
		"a tie":       {[]string{note("C", 4, 2, ""), note("C", 4, 1, `<tie type="stop"/>`)}, "C4@0+3"},
		"a chord":     {[]string{note("E", 4, 1, "") + note("C", 4, 1, "<chord/>") + note("G", 4, 1, "")}, "C4+E4@0+1 G4@1+1"},
		"a grace":     {[]string{`<note><grace/><pitch><step>D</step><octave>4</octave></pitch></note>` + note("C", 4, 1, "")}, "D4@0+0 C4@0+1"},
		"a rest":      {[]string{"<note><rest/><duration>3</duration></note>" + note("C", 4, 1, "")}, "C4@3+1"},
		"a cue":       {[]string{note("C", 4, 1, "<cue/>") + note("D", 4, 1, "")}, "D4@1+1"},
		"transposing": {[]string{"<attributes><transpose><chromatic>-2</chromatic></transpose></attributes>" + note("C", 5, 1, "")}, "Bb4@0+1"},
		"an octave":   {[]string{"<attributes><transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose></attributes>" + note("C", 5, 1, "")}, "C4@0+1"},
	} {
		assert.Equal(t, c.want, said(parts(t, c.measures...)[0]), name)
	}
}

// Voices are parts of their own, at the time that backup and forward say.
func TestReadVoices(t *testing.T) {
	all := parts(t, note("C", 5, 2, "<voice>1</voice>")+"<backup><duration>2</duration></backup><forward><duration>1</duration></forward>"+note("E", 4, 1, "<voice>2</voice>"), note("D", 5, 2, "<voice>1</voice>"))
	require.Len(t, all, 2)
	assert.Equal(t, "C5@0+2 D5@2+2", said(all[0]))
	assert.Equal(t, "E4@1+1", said(all[1]))
	assert.Equal(t, []string{"Flute", "Flute voice 2"}, []string{all[0].Part, all[1].Part})
}

func TestReadSigns(t *testing.T) {
	tune := parts(t,
		`<attributes><key><fifths>-1</fifths><mode>minor</mode></key><time><beats>2</beats><beat-type>4</beat-type></time></attributes>
<direction><direction-type><metronome><beat-unit>half</beat-unit><per-minute>60</per-minute></metronome></direction-type></direction>
<barline location="left"><repeat direction="forward"/></barline><harmony><root><root-step>D</root-step></root><kind>minor-seventh</kind></harmony>`+note("D", 5, 2, ""),
		`<barline location="left"><ending number="1" type="start"/></barline>`+note("E", 5, 2, "")+`<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`,
		`<barline location="left"><ending number="2" type="start"/></barline>`+note("F", 5, 2, "")+`<barline location="right"><ending number="2" type="stop"/></barline><direction><direction-type><words>Fine</words></direction-type></direction>`,
		note("G", 5, 2, "")+`<direction><direction-type><words>D.C. al Fine</words></direction-type><sound dacapo="yes"/></direction>`)[0]
	assert.Equal(t, &melody.Key{Fifths: -1, Tonic: 2}, tune.Key)
	assert.InDelta(t, 120, tune.Tempo, 1e-9)
	assert.Equal(t, []melody.Chord{{Symbol: "Dm7"}}, tune.Chords)
	order, ok := tune.Order()
	assert.True(t, ok)
	assert.Equal(t, []int{0, 1, 0, 2, 3, 0, 2}, order)
}

// FuzzRead: whatever is read ends, with notes in order inside their bars.
func FuzzRead(f *testing.F) {
	f.Add([]byte(`<score-partwise><part id="P1"><measure><attributes><divisions>3</divisions><time><beats>3+2</beats><beat-type>8</beat-type></time></attributes><note><grace/><pitch><step>D</step><octave>4</octave></pitch></note><note><pitch><step>C</step><octave>4</octave></pitch><duration>2</duration><tie type="stop"/><lyric><text>a</text></lyric></note><backup><duration>9</duration></backup><barline><repeat direction="backward" times="99"/><ending number="1,2" type="start"/></barline></measure></part></score-partwise>`))
	f.Add([]byte(`<score-timewise><measure number="1"><part id="a"><harmony><root><root-step>C</root-step></root><kind text="x">other</kind><offset>-5</offset></harmony><note><chord/><pitch><step>D</step><octave>4</octave></pitch><duration>1e9</duration></note></part></measure></score-timewise>`))
	f.Add([]byte("\xff\xfe<\x00a\x00>\x00"))
	f.Add([]byte("PK\x03\x04"))
	f.Add([]byte(`<?xml version="1.0" encoding="ISO-8859-1"?><score-partwise>` + "\xe9</score-partwise>"))
	f.Fuzz(func(t *testing.T, data []byte) {
		tunes, err := musicxml.Read(data)
		if err != nil {
			return
		}
		for _, v := range tunes {
			for i := range v.Notes {
				n := &v.Notes[i]
				require.NotEmpty(t, n.Pitches)
				require.False(t, v.Length.Less(n.End()), "%v", n)
				require.False(t, i > 0 && n.At.Less(v.Notes[i-1].At))
			}
			v.Order()
		}
	})
}
