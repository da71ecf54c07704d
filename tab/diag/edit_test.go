package diag_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/diag"
)

// edits are those of one problem at a place of a page.
func edits(page string, at diag.Span, sev diag.Severity, build func(*diag.Editor)) []diag.Edit {
	return diag.NewSource(page).Place(diag.Problem{Severity: sev, Span: at, Edits: build}).Edits
}

// Each edit is made on a page with one problem, at the Q.
func TestEditor(t *testing.T) {
	for name, c := range map[string]struct {
		page  string
		build func(*diag.Editor)
		label string
		want  string
	}{
		"write":           {"4 Q 5", func(e *diag.Editor) { e.Write("-4") }, "Write -4", "4 -4 5"},
		"take out":        {"4 Q 5", func(e *diag.Editor) { e.TakeOut() }, "Take it out", "4 5"},
		"first":           {"Q 4 5", func(e *diag.Editor) { e.TakeOut() }, "Take it out", "4 5"},
		"last":            {"4 5  Q", func(e *diag.Editor) { e.TakeOut() }, "Take it out", "4 5"},
		"glued":           {"4Q 5", func(e *diag.Editor) { e.TakeOut() }, "Take it out", "4 5"},
		"alone":           {"4\nQ\n5", func(e *diag.Editor) { e.TakeOut() }, "Take it out", "4\n\n5"},
		"head":            {"4\n 4 Q\n", func(e *diag.Editor) { e.HeadLine("tab:") }, "Write tab: before the line", "4\ntab:  4 Q\n"},
		"end":             {"4 Q\r\n5", func(e *diag.Editor) { e.EndLine("x2") }, "Write x2 at the end of the line", "4 Q x2\r\n5"},
		"line out":        {"4\r\nQ\r\n5", func(e *diag.Editor) { e.RemoveLine() }, "Take the line out", "4\r\n5"},
		"last line out":   {"4\nQ", func(e *diag.Editor) { e.RemoveLine() }, "Take the line out", "4"},
		"only line out":   {"Q", func(e *diag.Editor) { e.RemoveLine() }, "Take the line out", ""},
		"header":          {"4\r\nQ", func(e *diag.Editor) { e.Header("Harp: A") }, "Write Harp: A", "Harp: A\r\n4\r\nQ"},
		"behind a mark":   {"\ufeff4 Q", func(e *diag.Editor) { e.Header("Harp: A") }, "Write Harp: A", "\ufeffHarp: A\n4 Q"},
		"move to headers": {"4\nQ\n5", func(e *diag.Editor) { e.MoveToHeaders() }, "Move the line to the top", "Q\n4\n5"},
		"several": {"4 Q 5", func(e *diag.Editor) {
			e.Offer("Both", diag.Change{Span: diag.Span{Start: 4, End: 5}, Text: "6"}, diag.Change{Span: diag.Span{End: 1}, Text: "é"})
		}, "Both", "é Q 6"},
	} {
		t.Run(name, func(t *testing.T) {
			q := strings.Index(c.page, "Q")
			got := edits(c.page, diag.Span{Start: q, End: q + 1}, diag.Warning, c.build)
			require.Len(t, got, 1)
			assert.Equal(t, c.label, got[0].Label)
			text, made := diag.Apply(c.page, got...)
			assert.Equal(t, c.want, text)
			assert.Equal(t, 1, made)
			s := diag.NewSource(c.page)
			for _, change := range got[0].Changes {
				assert.Equal(t, change.Span, s.Span(change.Place), "the place says the same as the bytes")
			}
		})
	}
}

func TestWhatChangesNothingIsNotOffered(t *testing.T) {
	for name, build := range map[string]func(*diag.Editor){
		"the same text": func(e *diag.Editor) { e.Write("4").Keep().All("all").ForPage() },
		"no change":     func(e *diag.Editor) { e.Offer("nothing") },
		"to itself":     func(e *diag.Editor) { e.MoveToHeaders() },
		"off the page":  func(e *diag.Editor) { e.Offer("off", diag.Change{Span: diag.Span{Start: 7, End: 9}}) },
		"overlapping": func(e *diag.Editor) {
			e.Offer("twice", diag.Change{Span: diag.Span{Start: 0, End: 2}}, diag.Change{Span: diag.Span{Start: 1, End: 3}})
		},
		"two in one gap": func(e *diag.Editor) { e.Offer("twice", diag.Change{Text: "a"}, diag.Change{Text: "b"}) },
	} {
		t.Run(name, func(t *testing.T) { assert.Empty(t, edits("4 5\n6", diag.Span{End: 1}, diag.Warning, build)) })
	}
}

func TestEditsOfAnErrorKeep(t *testing.T) {
	write := func(e *diag.Editor) { e.Write("5") }
	assert.True(t, edits("4", diag.Span{End: 1}, diag.Error, write)[0].Keeps)
	assert.False(t, edits("4", diag.Span{End: 1}, diag.Warning, write)[0].Keeps)
	assert.True(t, edits("4", diag.Span{End: 1}, diag.Note, func(e *diag.Editor) { e.Write("5").Keep() })[0].Keeps)
}

// numbers is a page of notes 0 to n-1, each with a problem and its edits.
func numbers(n int, build func(e *diag.Editor, i int)) []diag.Diagnostic {
	var page strings.Builder
	var list diag.List
	for i := range n {
		at := page.Len()
		page.WriteString(strconv.Itoa(i) + " ")
		list.Report(diag.Problem{
			Severity: diag.Warning, Code: "x", Span: diag.Span{Start: at, End: page.Len() - 1}, Message: "this is {n}",
			Values: diag.Values{diag.Number("n", i)}, Edits: func(e *diag.Editor) { build(e, i) },
		})
	}
	return diag.NewSource(page.String()).PlaceAll(list)
}

// The first of a code carries the edit for all places, and only so many carry
// edits at all, which are built for no others.
func TestEverywhereAndTheMostEdited(t *testing.T) {
	built := 0
	placed := numbers(50, func(e *diag.Editor, i int) {
		built++
		e.Write("-" + e.Text(e.At)).All("Draw all")
		e.Write("+" + e.Text(e.At)).Keep()
		e.Header("Draw: 4").ForPage()
	})
	var labels []string
	for _, e := range placed[0].Edits {
		labels = append(labels, fmt.Sprint(e.Label, " ", e.Everywhere, " ", len(e.Changes)))
	}
	assert.Equal(t, []string{"Write -0 false 1", "Draw all true 50", "Write +0 false 1", "Write Draw: 4 true 1"}, labels)
	for i, d := range placed[1:] {
		assert.Len(t, d.Edits, map[bool]int{true: 2, false: 0}[i+1 < diag.MostEdited], "diagnostic %d", i+1)
	}
	assert.Equal(t, 50+diag.MostEdited, built)
}

func TestNoEverywhereForMoreThanAnAnswerHolds(t *testing.T) {
	build := func(e *diag.Editor, i int) { e.TakeOut().All("Take all out") }
	assert.Len(t, numbers(diag.MostPlaces, build)[0].Edits, 2)
	assert.Len(t, numbers(diag.MostPlaces+1, build)[0].Edits, 1)
}

// The first come first; what meets them is left for another round.
func TestApply(t *testing.T) {
	edit := func(text string, spans ...diag.Span) (e diag.Edit) {
		for _, at := range spans {
			e.Changes = append(e.Changes, diag.Change{Span: at, Text: text})
		}
		return e
	}
	for name, c := range map[string]struct {
		edits []diag.Edit
		want  string
		made  int
	}{
		"none":              {nil, "abcdef", 0},
		"from the end":      {[]diag.Edit{edit("X", diag.Span{4, 6}), edit("Y", diag.Span{0, 1})}, "YbcdX", 2},
		"overlapping":       {[]diag.Edit{edit("X", diag.Span{1, 3}), edit("Y", diag.Span{2, 4}), edit("Z", diag.Span{3, 4})}, "aXZef", 2},
		"skipped whole":     {[]diag.Edit{edit("X", diag.Span{1, 3}), edit("Y", diag.Span{2, 4}, diag.Span{5, 6})}, "aXdef", 1},
		"side by side":      {[]diag.Edit{edit("X", diag.Span{1, 1}), edit("Y", diag.Span{1, 2}), edit("Z", diag.Span{2, 2})}, "aXYZcdef", 3},
		"inserted last":     {[]diag.Edit{edit("Y", diag.Span{1, 2}), edit("X", diag.Span{1, 1})}, "aXYcdef", 2},
		"two in one gap":    {[]diag.Edit{edit("X", diag.Span{1, 1}), edit("Y", diag.Span{1, 1})}, "aXbcdef", 1},
		"into what is gone": {[]diag.Edit{edit("X", diag.Span{1, 4}), edit("Y", diag.Span{2, 2})}, "aXef", 1},
		"off the page":      {[]diag.Edit{edit("X", diag.Span{5, 7}), edit("X", diag.Span{-1, 0})}, "abcdef", 0},
		"at both ends":      {[]diag.Edit{edit("X", diag.Span{0, 0}, diag.Span{6, 6})}, "XabcdefX", 1},
	} {
		t.Run(name, func(t *testing.T) {
			got, made := diag.Apply("abcdef", c.edits...)
			assert.Equal(t, c.want, got)
			assert.Equal(t, c.made, made)
		})
	}
}

func ExampleApply() {
	const page = "4 44 5\n"
	var list diag.List
	list.Report(diag.Problem{
		Severity: diag.Error, Code: diag.SameHoleTwice, Span: diag.Span{Start: 2, End: 4},
		Message: "{holes} names a hole twice.", Values: diag.Values{diag.Text("holes", "44")},
		Edits: func(e *diag.Editor) { e.Write("4 4") },
	})
	x := diag.NewSource(page).PlaceAll(list)[0]
	fmt.Println(x.Message, x.Edits[0].Label)
	text, _ := diag.Apply(page, x.Edits[0])
	fmt.Print(text)
	// Output:
	// 44 names a hole twice. Write 4 4
	// 4 4 4 5
}

// An insertion and a change of what stands behind it do not meet.
func TestApplyInsertsBeforeAChange(t *testing.T) {
	change := diag.Edit{Changes: []diag.Change{{Span: diag.Span{Start: 0, End: 1}, Text: "-5"}}}
	header := diag.Edit{Changes: []diag.Change{{Span: diag.Span{}, Text: "Harp: C\n"}}}
	for _, edits := range [][]diag.Edit{{change, header}, {header, change}} {
		text, made := diag.Apply("4 4", edits...)
		assert.Equal(t, "Harp: C\n-5 4", text)
		assert.Equal(t, 2, made)
	}
}
