package diag_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/diag"
)

func TestPosition(t *testing.T) {
	const page = "aé\tb\r\nc\rd\ne\u2028吹🎵f\xff\n"
	s := diag.NewSource(page)
	for _, c := range []struct{ offset, line, column int }{
		{-1, 1, 1},
		{0, 1, 1},
		{1, 1, 2},  // é begins
		{3, 1, 3},  // after its two bytes
		{4, 1, 4},  // a tab is one character
		{5, 1, 5},  // CR of CRLF
		{7, 2, 1},  // after CRLF
		{8, 2, 2},  // a lone CR
		{9, 3, 1},  //
		{11, 4, 1}, // after LF
		{15, 5, 1}, // after U+2028
		{18, 5, 2}, // after three bytes of CJK
		{22, 5, 3}, // after four bytes of emoji
		{23, 5, 4}, // a byte that is no UTF-8
		{24, 5, 5}, // counts as one
		{25, 6, 1}, // the end of the text
		{99, 6, 1},
	} {
		line, column := s.Position(c.offset)
		assert.Equal(t, [2]int{c.line, c.column}, [2]int{line, column}, "offset %d", c.offset)
	}
}

func TestLinesLeaveTheirEndsOut(t *testing.T) {
	const page = "a\r\n\nb\r\rc\u2028d"
	var lines []string
	for _, l := range diag.NewSource(page).Lines() {
		lines = append(lines, page[l.Start:l.End])
	}
	assert.Equal(t, []string{"a", "", "b", "", "c", "d"}, lines)
}

func TestPlaceAllPlacesAsPlaceDoes(t *testing.T) {
	const page = "é 吹\r\nb\u2028🎵 c\n"
	s := diag.NewSource(page)
	var list diag.List
	for at := range page {
		list.Add(diag.Note, "x", diag.Span{Start: at, End: len(page)}, "", "at %d", at)
	}
	placed := s.PlaceAll(list)
	require.Len(t, placed, len(list))
	for i, x := range placed {
		assert.Equal(t, s.Place(list[i]), x)
	}
}

func TestProblemsOfOnePlaceKeepTheirOrder(t *testing.T) {
	s := diag.NewSource("4 5")
	var list diag.List
	list.Add(diag.Warning, "b", diag.Span{Start: 2, End: 3}, "", "second")
	list.Add(diag.Error, "c", diag.Span{Start: 2, End: 3}, "", "third")
	list.Add(diag.Note, "a", diag.Span{Start: 0, End: 1}, "", "first")
	var said []string
	for _, x := range s.PlaceAll(list) {
		said = append(said, x.Message)
	}
	assert.Equal(t, []string{"first", "second", "third"}, said)
}

func TestMessagesAreNoFormatsOfTheirOwn(t *testing.T) {
	var list diag.List
	list.Add(diag.Note, "a", diag.Span{}, "", "100%d")
	list.Add(diag.Note, "a", diag.Span{}, "", "%s is 100%%", "this")
	assert.Equal(t, "100%d", list[0].Message)
	assert.Equal(t, "this is 100%", list[1].Message)
	assert.True(t, list.Has(diag.Note))
	assert.False(t, list.Has(diag.Error))
}

func TestCodesAreKebabCaseAndDistinct(t *testing.T) {
	seen := map[diag.Code]bool{}
	for _, c := range diag.Codes {
		assert.Regexp(t, regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`), string(c))
		assert.False(t, seen[c], c)
		seen[c] = true
	}
	assert.NotEmpty(t, seen)
}

// The first line begins behind a byte-order mark, for people and for editors.
func TestAByteOrderMarkHasNoColumn(t *testing.T) {
	s := diag.NewSource("\ufeff4 Q")
	for offset, column := range map[int]int{0: 1, 3: 1, 5: 3} {
		_, c := s.Position(offset)
		assert.Equal(t, column, c, "offset %d", offset)
	}
	assert.Equal(t, []diag.Span{{Start: 3, End: 6}}, s.Lines())
	assert.Equal(t, 3, s.Headers)
}

func TestSpanUndoesPlace(t *testing.T) {
	const page = "\ufeffaé\tb\r\nc\rd\ne\u2028吹🎵f\n"
	s := diag.NewSource(page)
	for from := range page[3:] {
		for to := range page[from+3:] {
			at := diag.Span{Start: from + 3, End: from + 3 + to}
			assert.Equal(t, at, s.Span(s.Place(diag.Problem{Span: at}).Place))
		}
	}
	assert.Equal(t, diag.Span{Start: len(page), End: len(page)}, s.Span(diag.Place{Line: 9, Column: 1, Length: 3}))
}

func TestValuesFillTheSentence(t *testing.T) {
	var list diag.List
	list.Report(diag.Problem{
		Message: "{word} and {n} of {other}", Hint: "Write {n}.",
		Values: diag.Values{diag.Text("word", "{n}"+strings.Repeat("x", 30)), diag.Number("n", 4)},
	})
	assert.Equal(t, "{n}"+strings.Repeat("x", 21)+"… and 4 of {other}", list[0].Message)
	assert.Equal(t, "Write 4.", list[0].Hint)
	assert.Equal(t, map[string]any{"word": "{n}" + strings.Repeat("x", 21) + "…", "n": 4}, list[0].Values.Map())
}

// Warnings and notes of one kind are merged above three places, errors never.
func TestMerging(t *testing.T) {
	const page = "1 2 3 4\n5"
	spans := []diag.Span{{0, 1}, {2, 3}, {4, 5}, {6, 7}, {8, 9}}
	placed := func(sev diag.Severity, n int) []diag.Diagnostic {
		var list diag.List
		for _, at := range spans[:n] {
			list.Add(sev, "x", at, "", "same")
			list.Add(sev, "x", at, "", "other %d", at.Start)
		}
		return diag.NewSource(page).PlaceAll(list)
	}
	assert.Len(t, placed(diag.Error, 5), 10)
	assert.Len(t, placed(diag.Warning, 3), 6)
	merged := placed(diag.Note, 5)
	require.Len(t, merged, 6)
	assert.Equal(t, 5, merged[0].Count)
	assert.Equal(t, diag.Place{Line: 1, Column: 1, Length: 1}, merged[0].Place)
	assert.Equal(t, []diag.Place{{1, 1, 1}, {1, 3, 1}, {1, 5, 1}, {1, 7, 1}, {2, 1, 1}}, merged[0].Places)
	assert.Zero(t, merged[1].Count)
	assert.Nil(t, merged[1].Places)
}

func TestAsJSON(t *testing.T) {
	var list diag.List
	list.Report(diag.Problem{
		Severity: diag.Error, Code: "x", Span: diag.Span{Start: 2, End: 4}, Message: "{holes} twice, {n} times.", Hint: "so",
		Values: diag.Values{diag.Text("holes", "44"), diag.Number("n", 2)},
		Edits:  func(e *diag.Editor) { e.Write("4 4") },
	})
	for at := 5; at < 9; at++ {
		list.Add(diag.Note, "y", diag.Span{Start: at, End: at}, "", "again")
	}
	placed := diag.NewSource("é44\n4444").PlaceAll(list)
	out, err := json.Marshal(placed)
	require.NoError(t, err)
	var back []diag.Diagnostic
	require.NoError(t, json.Unmarshal(out, &back))
	assert.Equal(t, placed[0].Values, back[0].Values)
	assert.Equal(t, `[{"severity":"error","code":"x","line":1,"column":2,"length":2,"message":"44 twice, 2 times.","hint":"so",`+
		`"values":{"holes":"44","n":2},`+
		`"edits":[{"label":"Write 4 4","keeps":true,"everywhere":false,"changes":[{"line":1,"column":2,"length":2,"text":"4 4"}]}]},`+
		`{"severity":"note","code":"y","line":2,"column":1,"length":0,"message":"again","hint":"","values":{},"count":4,`+
		`"places":[{"line":2,"column":1,"length":0},{"line":2,"column":2,"length":0},{"line":2,"column":3,"length":0},{"line":2,"column":4,"length":0}],`+
		`"edits":[]}]`, string(out))
}

func TestMergedPlacesAreBounded(t *testing.T) {
	page := strings.Repeat("4 ", 2000)
	var list diag.List
	for i := range 2000 {
		list.Add(diag.Warning, "x", diag.Span{Start: 2 * i, End: 2*i + 1}, "", "same")
	}
	placed := diag.NewSource(page).PlaceAll(list)
	require.Len(t, placed, 1)
	assert.Equal(t, 2000, placed[0].Count)
	assert.Len(t, placed[0].Places, diag.MostPlaces)
}

func ExampleSource_Place() {
	s := diag.NewSource("4 -4\n♪ Q 5\n")
	p := diag.Problem{Severity: diag.Error, Code: diag.UnknownWord, Span: diag.Span{Start: 9, End: 10}, Message: "what is Q?"}
	x := s.Place(p)
	fmt.Printf("%d:%d+%d %s\n", x.Line, x.Column, x.Length, x.Message)
	// Output: 2:3+1 what is Q?
}
