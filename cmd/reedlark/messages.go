package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/width"

	"reedlark/tab/diag"
)

// printf writes to a terminal's output. A failure is remembered where it
// matters (see stickyWriter); when standard error is gone, nobody is left to read it.
func printf(w io.Writer, format string, args ...any) { _, _ = fmt.Fprintf(w, format, args...) }

// printDiagnostics writes each diagnostic as compilers do: file, line and column, what is
// wrong and its code, the line with a mark under the place, and what to write
// instead.
func printDiagnostics(w io.Writer, p page, list []diag.Diagnostic) {
	if len(list) == 0 {
		return
	}
	lines := diag.NewSource(p.text).Lines()
	for _, d := range eachPlace(list) {
		printf(w, "%s: %s: %s [%s]\n", clean(placeName(p.name, d.Place)), d.Severity, clean(d.Message), d.Code)
		if d.Line >= 1 && d.Line <= len(lines) {
			at := lines[d.Line-1]
			show(w, []rune(p.text[at.Start:at.End]), d.Column-1, d.Length)
		}
		if d.Hint != "" {
			printf(w, "    hint: %s\n", clean(d.Hint))
		}
	}
}

// placeName is a place in a file, as compilers write it.
func placeName(file string, at diag.Place) string {
	return fmt.Sprintf("%s:%d:%d", file, at.Line, at.Column)
}

// eachPlace lists a diagnostic that stands for many places once for each, in the
// order of the page. The last says how many more there are that were not listed.
func eachPlace(list []diag.Diagnostic) []diag.Diagnostic {
	var out []diag.Diagnostic
	for _, d := range list {
		all, more := d.All(), d.Total()-len(d.All())
		for i, at := range all {
			d.Place = at
			if i > 0 {
				d.Edits = nil // the first has them
			}
			if more > 0 && i == len(all)-1 {
				d.Message += fmt.Sprintf(" From here on there are %d more like it.", more)
			}
			out = append(out, d)
		}
	}
	slices.SortStableFunc(out, func(a, b diag.Diagnostic) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return out
}

// shownLine is how much of a long line is shown, in characters.
const shownLine = 100

// show writes a line with a mark under the length characters from start on.
func show(w io.Writer, line []rune, start, length int) {
	if len(line) == 0 {
		return
	}
	start = min(max(start, 0), len(line))
	from := max(start-shownLine/2, 0)
	to := min(from+shownLine, len(line))
	end := min(max(start+length, start+1), to)
	before, marked, after := line[from:start], []rune{}, []rune{}
	if start < to {
		marked, after = line[start:end], line[end:to]
	}
	head, tail := "", ""
	if from > 0 {
		head = "…"
	}
	if to < len(line) {
		tail = "…"
	}
	text := head + clean(string(before))
	printf(w, "    %s%s%s%s\n", text, clean(string(marked)), clean(string(after)), tail)
	under := max(cells(clean(string(marked))), 1)
	printf(w, "    %s^%s\n", strings.Repeat(" ", cells(text)), strings.Repeat("~", under-1))
}

// clean makes text safe for a terminal: a tab becomes a blank, and what would move
// the cursor or hide text becomes a replacement character or nothing.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case unicode.IsControl(r), r == '\u2028', r == '\u2029':
			return unicode.ReplacementChar
		case unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, text)
}

// cleanLines is clean for text of several lines.
func cleanLines(text string) string {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	for i, l := range lines {
		lines[i] = clean(l)
	}
	return strings.Join(lines, "\n")
}

// cells is how many columns of a terminal text takes: wide characters two,
// marks on the character before none.
func cells(text string) int {
	n := 0
	for _, r := range text {
		kind := width.LookupRune(r).Kind()
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me):
		case kind == width.EastAsianWide, kind == width.EastAsianFullwidth:
			n += 2
		default:
			n++
		}
	}
	return n
}
