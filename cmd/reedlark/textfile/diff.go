package textfile

import (
	"fmt"
	"strings"
)

// context is how many lines that are the same stand around those that differ,
// as in every unified diff.
const context = 3

// Diff is what differs between two texts, in the unified format that patch reads;
// empty where nothing does. ref: POSIX.1-2024, diff, "Diff -u Output Format".
func Diff(name, before, after string) string {
	if before == after {
		return ""
	}
	edits := compare(lines(before), lines(after))
	var out strings.Builder
	fmt.Fprintf(&out, "--- %s\n+++ %s\n", name, name)
	for from := 0; from < len(edits); {
		if edits[from].sign == ' ' {
			from++
			continue
		}
		from = writeHunk(&out, edits, from)
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

// edit is a line of either text: kept ' ', removed '-' or added '+'.
type edit struct {
	sign byte
	line string
	a, b int // lines of each text before it
}

// compare makes the one list of lines into the other.
func compare(a, b []string) []edit {
	var out []edit
	i, j := 0, 0
	add := func(sign byte, line string) {
		out = append(out, edit{sign, line, i, j})
		if sign != '+' {
			i++
		}
		if sign != '-' {
			j++
		}
	}
	for _, match := range append(matches(a, b), [2]int{len(a), len(b)}) {
		for i < match[0] {
			add('-', a[i])
		}
		for j < match[1] {
			add('+', b[j])
		}
		if i < len(a) && j < len(b) {
			add(' ', a[i])
		}
	}
	return out
}

// most is the largest table that matches fills: two thousand lines that differ by
// two thousand. Larger changes are taken for one.
const most = 1 << 22

// matches pairs the lines that both texts have, in order: as many as there can be.
func matches(a, b []string) (out [][2]int) {
	start := 0
	for start < len(a) && start < len(b) && a[start] == b[start] {
		out = append(out, [2]int{start, start})
		start++
	}
	end := 0
	for end < len(a)-start && end < len(b)-start && a[len(a)-1-end] == b[len(b)-1-end] {
		end++
	}
	for _, m := range common(a[start:len(a)-end], b[start:len(b)-end]) {
		out = append(out, [2]int{start + m[0], start + m[1]})
	}
	for k := end; k > 0; k-- {
		out = append(out, [2]int{len(a) - k, len(b) - k})
	}
	return out
}

// common is the longest common subsequence of two lists. Lists of one length are
// compared line by line, which is all there is to find where lines only change.
func common(a, b []string) (out [][2]int) {
	if len(a) == len(b) || len(a)*len(b) > most {
		for i := range min(len(a), len(b)) {
			if a[i] == b[i] {
				out = append(out, [2]int{i, i})
			}
		}
		return out
	}
	longest := make([][]int32, len(a)+1) // of what is left from i and j on
	for i := range longest {
		longest[i] = make([]int32, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			longest[i][j] = max(longest[i+1][j], longest[i][j+1])
			if a[i] == b[j] {
				longest[i][j] = longest[i+1][j+1] + 1
			}
		}
	}
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch {
		case a[i] == b[j]:
			out = append(out, [2]int{i, j})
			i, j = i+1, j+1
		case longest[i+1][j] >= longest[i][j+1]:
			i++
		default:
			j++
		}
	}
	return out
}

// writeHunk writes the change at from with its context, and those that are so near
// that their contexts touch. It answers where the rest begins.
func writeHunk(out *strings.Builder, edits []edit, from int) int {
	first := max(from-context, 0)
	end, same := from, 0
	for i := from; i < len(edits) && same <= 2*context; i++ {
		same++
		if edits[i].sign != ' ' {
			end, same = i+1, 0
		}
	}
	end = min(end+context, len(edits))
	var a, b int
	for _, e := range edits[first:end] {
		if e.sign != '+' {
			a++
		}
		if e.sign != '-' {
			b++
		}
	}
	fmt.Fprintf(out, "@@ -%s +%s @@\n", lineRange(edits[first].a, a), lineRange(edits[first].b, b))
	for _, e := range edits[first:end] {
		out.WriteString(string(e.sign) + e.line)
		if !strings.HasSuffix(e.line, "\n") {
			out.WriteString("\n\\ No newline at end of file\n")
		}
	}
	return end
}

// lineRange is the beginning and the length of a range of lines. An empty range is
// named by the line before it.
func lineRange(before, n int) string {
	if n == 0 {
		return fmt.Sprintf("%d,0", before)
	}
	return fmt.Sprintf("%d,%d", before+1, n)
}
