package diag_test

import (
	"fmt"
	"regexp"
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
		list.Add(diag.Note, "x", diag.Span{Start: at, End: len(page)}, "", "here")
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

func ExampleSource_Place() {
	s := diag.NewSource("4 -4\n♪ Q 5\n")
	p := diag.Problem{Severity: diag.Error, Code: diag.UnknownWord, Span: diag.Span{Start: 9, End: 10}, Message: "what is Q?"}
	x := s.Place(p)
	fmt.Printf("%d:%d+%d %s\n", x.Line, x.Column, x.Length, x.Message)
	// Output: 2:3+1 what is Q?
}
