package textfile

import (
	"fmt"
	"strings"
)

// context is how many lines that are the same stand around those that differ,
// as in every unified diff.
const context = 3

// Diff is what differs between two texts of as many lines, in the unified format
// that patch reads; empty where nothing does. Line i of the one is compared with
// line i of the other, which is all there is to find where lines only change and
// none comes or goes. ref: POSIX.1-2024, diff, "Diff -u Output Format".
func Diff(name, before, after string) string {
	if before == after {
		return ""
	}
	a, b := lines(before), lines(after)
	var out strings.Builder
	fmt.Fprintf(&out, "--- %s\n+++ %s\n", name, name)
	for _, h := range hunks(a, b) {
		count := fmt.Sprintf("%d,%d", h.from+1, h.to-h.from)
		fmt.Fprintf(&out, "@@ -%s +%s @@\n", count, count)
		h.write(&out, a, b)
	}
	return out.String()
}

// lines are the lines of a text with their ends.
func lines(text string) []string {
	out := strings.SplitAfter(text, "\n")
	if last := len(out) - 1; out[last] == "" {
		out = out[:last]
	}
	return out
}

// hunk is a range of lines, from 0, to excluded.
type hunk struct{ from, to int }

// hunks are the lines that differ with their context, those that touch in one.
func hunks(a, b []string) []hunk {
	var out []hunk
	for i := range a {
		if a[i] == b[i] {
			continue
		}
		h := hunk{max(i-context, 0), min(i+context+1, len(a))}
		if last := len(out) - 1; last >= 0 && h.from <= out[last].to {
			out[last].to = h.to
			continue
		}
		out = append(out, h)
	}
	return out
}

// write writes the lines of a hunk: of a run that differs all the old ones first.
func (h hunk) write(out *strings.Builder, a, b []string) {
	for i := h.from; i < h.to; {
		run := i
		for run < h.to && a[run] != b[run] {
			run++
		}
		for _, l := range a[i:run] {
			put(out, "-", l)
		}
		for _, l := range b[i:run] {
			put(out, "+", l)
		}
		if run == i {
			put(out, " ", a[i])
			run++
		}
		i = run
	}
}

func put(out *strings.Builder, sign, line string) {
	out.WriteString(sign + line)
	if !strings.HasSuffix(line, "\n") {
		out.WriteString("\n\\ No newline at end of file\n")
	}
}
