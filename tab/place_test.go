package tab_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
)

// said is a problem as a test expects it: what, and where.
type said struct {
	severity             diag.Severity
	code                 diag.Code
	line, column, length int
}

// problems places what is said of a page.
func problems(page string, o tab.Options) []said {
	var out []said
	d := tab.Parse(page, o)
	for _, x := range d.Source.PlaceAll(d.Problems) {
		out = append(out, said{x.Severity, x.Code, x.Line, x.Column, x.Length})
	}
	return out
}

// A column counts the characters of the line as typed, whatever they become.
func TestPlacesCountCharactersAsTyped(t *testing.T) {
	unknown := func(line, column, length int) []said {
		return []said{{diag.Error, diag.UnknownWord, line, column, length}}
	}
	for name, c := range map[string]struct {
		page string
		want []said
	}{
		"plain":             {"4 -4 Q 5", unknown(1, 6, 1)},
		"é before":          {"(é) 4 -4 Q", append([]said{{diag.Note, diag.Remark, 1, 1, 3}}, unknown(1, 10, 1)...)},
		"é as a letter":     {"4 -4 5é", unknown(1, 6, 2)},
		"é in two":          {"4 -4 5e\u0301 6", unknown(1, 6, 3)},
		"tab character":     {"4\t-4\tQ", unknown(1, 6, 1)},
		"LF":                {"4 -4\nQ 4 -4", unknown(2, 1, 1)},
		"CRLF":              {"4 -4\r\nQ 4 -4", unknown(2, 1, 1)},
		"CR":                {"4 -4\rQ 4 -4", unknown(2, 1, 1)},
		"U+2028":            {"4 -4\u2028Q 4 -4", unknown(2, 1, 1)},
		"end of text":       {"4 -4 Q", unknown(1, 6, 1)},
		"CJK":               {"4 -4 吹 5", unknown(1, 6, 1)},
		"after CJK":         {"4 -4 吹く Q -5 6", append(unknown(1, 6, 2), unknown(1, 9, 1)...)},
		"emoji":             {"4 -4 🎵 Q -5", append(unknown(1, 6, 1), unknown(1, 8, 1)...)},
		"emoji of two":      {"4 -4 ❤️ Q -5", append(unknown(1, 6, 2), unknown(1, 9, 1)...)},
		"BOM":               {"\ufeff4 -4 Q", unknown(1, 6, 1)},
		"zero width":        {"4\u200b -4 Q", unknown(1, 7, 1)},
		"entity":            {"&minus;4 5 Q", unknown(1, 12, 1)},
		"entity as word":    {"4 -4 &lt;b&gt;", unknown(1, 6, 9)},
		"full width":        {"４　−４　Ｑ", unknown(1, 6, 1)},
		"after a text line": {"été 🎵\n4 -4 Q", unknown(2, 6, 1)},
	} {
		t.Run(name, func(t *testing.T) { assert.Equal(t, c.want, problems(c.page, tab.Options{})) })
	}
}

// A byte that is no UTF-8 is one character, and is reported where it stands.
func TestInvalidBytes(t *testing.T) {
	assert.Equal(t, []said{{diag.Error, diag.InvalidUTF8, 2, 2, 1}}, problems("4 -4\nla\xffla"[:6]+"\xffla\n", tab.Options{}))
}

func TestControlCharactersAreNamed(t *testing.T) {
	for char, name := range map[string]string{"\x00": "U+0000", "\x07": "U+0007", "\x1b": "U+001B", "\x7f": "U+007F", "\u0085": "U+0085"} {
		d := tab.Parse("4 -4 5"+char+"6 7", tab.Options{})
		require.Len(t, d.Problems, 1, name)
		assert.Equal(t, diag.ControlCharacter, d.Problems[0].Code)
		assert.Equal(t, 6, d.Problems[0].Span.Start)
		assert.Contains(t, d.Problems[0].Message, name)
	}
}

// Each limit is met at its value, passed one above it, and named.
func TestLimits(t *testing.T) {
	small := tab.Limits{Bytes: 40, Notes: 6, Depth: 2, Repeat: 3, NoteBeats: 4, TitleLength: 5}
	for name, c := range map[string]struct {
		within, beyond string
		names          string
		want           said
	}{
		"bytes":   {strings.Repeat("4", 1) + strings.Repeat(" ", 39), "4" + strings.Repeat(" ", 40), "40 bytes", said{diag.Error, diag.TextTooLong, 1, 41, 0}},
		"notes":   {"|: 4 5 6 :|", "4 |: 4 5 6 :|", "6 notes", said{diag.Error, diag.TooManyNotes, 1, 3, 2}},
		"braces":  {"{4 {5 6}}", "{4 {5 {6 7}}}", "2 deep", said{diag.Error, diag.TooDeep, 1, 7, 1}},
		"repeats": {"|: |: 4 :| :|", "|: |: |: 4 :| :| :|", "2 deep", said{diag.Error, diag.TooDeep, 1, 7, 2}},
		"times":   {"4 x3", "4 x4", "1 to 3", said{diag.Error, diag.RepeatCount, 1, 3, 2}},
		"held":    {"4---", "5 4----", "4 beats", said{diag.Error, diag.NoteTooLong, 1, 3, 1}},
		"title":   {"Title: abcdé\n4", "Title: abcdéf\n4", "5 characters", said{diag.Error, diag.TitleTooLong, 1, 8, 6}},
	} {
		t.Run(name, func(t *testing.T) {
			o := tab.Options{Limits: small}
			assert.Empty(t, problems(c.within, o))
			assert.Equal(t, []said{c.want}, problems(c.beyond, o))
			assert.Contains(t, tab.Parse(c.beyond, o).Problems[0].Message, c.names)
		})
	}
}

func TestTheCallerWinsOverThePage(t *testing.T) {
	d := tab.Parse("Metre: 3/4\n4 -4\n", tab.Options{Metre: tab.Metre{Beats: 6, Unit: 8}})
	assert.Equal(t, tab.Metre{Beats: 6, Unit: 8}, d.Metre)
	assert.Equal(t, tab.Metre{Beats: 3, Unit: 4}, d.Head.Metre)

	d = tab.Parse("4b 5b\n", tab.Options{Convention: tab.Letters})
	assert.Equal(t, tab.Letters, d.Convention)
	assert.Empty(t, d.Problems)
}

func TestParseMetre(t *testing.T) {
	for text, want := range map[string]tab.Metre{"4/4": {Beats: 4, Unit: 4}, "12/8": {Beats: 12, Unit: 8}, "3 / 2": {Beats: 3, Unit: 2}, "32/16": {Beats: 32, Unit: 16}} {
		m, ok := tab.ParseMetre(text)
		assert.True(t, ok, text)
		assert.Equal(t, want, m, text)
	}
	for _, text := range []string{"", "4", "4/0", "0/4", "4/3", "33/4", "-3/4", "4/4 ", "٤/4", "99999999999999999999/4", "4/99999999999999999999"} {
		_, ok := tab.ParseMetre(text)
		assert.False(t, ok, text)
	}
	assert.Equal(t, "6/8", tab.Metre{Beats: 6, Unit: 8}.String())
	assert.Empty(t, tab.Metre{}.String())
}
