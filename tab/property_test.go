package tab_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"reedlark/tab"
	"reedlark/tab/diag"
)

// tokens are what lines of tab are made of, good and bad.
var tokens = []string{
	"4", "5", "-4", "−6", "10", "45", "-23", "54", "+4", "-3//", "-3b", "8/", "4*", "6o", "4~", "45~", "7''",
	"B4", "D4", "5B", "5D", "d45", "3//D", "3b", "4↑", "4↓", "↓5", "6⬆️", "-", "--", "---", ".", "…", "_", "—",
	"r", "R", "r--", ",", "|", "||", "|:", ":|", "||:", ":|:", "x2", "2x", "(x3)", "X1", "->", ">", "→", "-->", "--->",
	"(", ")", "[", "]", "(4)", "[5 -5]", "(4 -4)5", "{", "}", "{4 -4}", "{4 5 6}-", "{5- -5}", "[Chorus]", "(slowly)", "la", "don't", "A7", "Em",
	"C", "G7", "F#m7b5/A", "D/F#", "N.C.", "%", "/", "H7", "Cmaj8", "&minus;5", "&nbsp;", "４", "1.", "2.", "3/4", "\u200b", "\t",
}

// dialects are what pages in dialects of their own are made of besides.
var dialects = []string{
	"4+", "6-", "5+-", "4v", "4^", "^4", "v5", "4S", "A5", "4v5^", "④", "⑩", "_4_", "4_", "4\u0332", "1\u03320\u0332", "<u>4</u>", "<u>10</u>", "<u>", "4吹", "4吸",
	"(4)", "(4 5)", "[4]", "[4 -5]", "(10)", "4(D)", "5(B)", "-3(b)", "4 (draw)", "-3 (half-step bend)", "6(2)", "4 blow", "5 draw", "draw 6", "soplar 4", "4 ziehen", "-4 overdraw",
	"B", "D", "b", "d", "+", "-", "= draw", "( ) = draw", "S = soplar", "A = aspirar,", "^ means blow", "v: draw", "minus = suck",
}

// dialectHeads are what their lines may begin with.
var dialectHeads = []string{
	"", "", "", "Blow: ", "Draw: ", "Draw: 4-\n", "Draw: (4)\n", "Blow: 4^\nDraw: 4v\n", "Bracketed: draw\n", "Bracketed: together\n", "Holds: 4_\n", "Draw: - 4\n", "Soplar: ", "S = soplar, A = aspirar\n",
	"numbers in brackets are draw\n", "Circle = blow\n", "underlined = draw\n", "tab: ", "text: ", "1. ",
}

// dialectPage draws a page of one of them.
func dialectPage(t *rapid.T) string {
	var b strings.Builder
	few := rapid.SliceOfN(rapid.SampledFrom(append(dialects, tokens...)), 1, 5).Draw(t, "few")
	for range rapid.IntRange(1, 5).Draw(t, "lines") {
		b.WriteString(rapid.SampledFrom(dialectHeads).Draw(t, "head"))
		for range rapid.IntRange(0, 7).Draw(t, "tokens") {
			b.WriteString(rapid.SampledFrom(few).Draw(t, "token"))
			b.WriteString(rapid.SampledFrom([]string{" ", " ", " ", "", "  ", "   "}).Draw(t, "blank"))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// A page in any dialect is read without panic, and printed it sounds the same.
func TestDialectsPrintAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := dialectPage(t)
		d := tab.Parse(text, tab.Options{})
		// Quoted lines may lose one of their block, and a remark that is a breath
		// word belongs to a bare hole before it.
		if d.Problems.Has(diag.Error) || strings.Contains(text, ">") || strings.Contains(text, "(") && (d.Convention == tab.Marks || d.Convention == tab.Words) {
			return
		}
		to := rapid.SampledFrom(conventions).Draw(t, "convention")
		printed := d.Print(to)
		again := tab.Parse(printed, tab.Options{})
		if notesOf(d) != notesOf(again) {
			t.Fatalf("%q in %s is\n%q\n%s\n%s", text, to, printed, notesOf(d), notesOf(again))
		}
	})
}

// notesOf is what a document plays, wherever it stands on the page.
func notesOf(d *tab.Document) string {
	piece := *d.Unfold()
	piece.Marks = nil
	var b strings.Builder
	dumpPiece(&b, &piece)
	return b.String()
}

// heads are what lines may begin with, and what may follow.
var heads = []string{"", "", "", "", "", "", "tab: ", "text: ", "count: ", "chords: ", "Intro: ", "Verse 2: ", "# ", "1. ", "2) ", "Metre: 4/4", "Tempo: 90", "Title: a tune", "[A] "}

// page draws a page made of tokens, glued and apart.
func page(t *rapid.T) string {
	var b strings.Builder
	for range rapid.IntRange(1, 5).Draw(t, "lines") {
		b.WriteString(rapid.SampledFrom(heads).Draw(t, "head"))
		for range rapid.IntRange(0, 7).Draw(t, "tokens") {
			b.WriteString(rapid.SampledFrom(tokens).Draw(t, "token"))
			b.WriteString(rapid.SampledFrom([]string{" ", " ", " ", "", "  "}).Draw(t, "blank"))
		}
		b.WriteString(rapid.SampledFrom([]string{"\n", "\n", "\r\n", "\r", "\u2028"}).Draw(t, "end"))
	}
	return b.String()
}

func TestEveryPageIsReadWithoutPanic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := page(t)
		d := tab.Parse(text, tab.Options{})
		for _, p := range d.Problems {
			if p.Span.Start < 0 || p.Span.End > len(text) || p.Span.Start > p.Span.End {
				t.Fatalf("%s at %v in %q", p.Code, p.Span, text)
			}
		}
	})
}

func TestPrintedPagesReadTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := page(t)
		d := tab.Parse(text, tab.Options{})
		if d.Problems.Has(diag.Error) {
			return
		}
		to := rapid.SampledFrom(conventions).Draw(t, "convention")
		printed := d.Print(to)
		again := tab.Parse(printed, tab.Options{})
		if shape(d) != shape(again) {
			t.Fatalf("%q in %s is\n%q\n%s\n%s", text, to, printed, shape(d), shape(again))
		}
		if twice := again.Print(to); twice != printed {
			t.Fatalf("%q is no fixed point of %s:\n%q\n%q", text, to, printed, twice)
		}
	})
}
