package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/tab/diag"
)

func TestFix(t *testing.T) {
	folder(t, map[string]string{"a.txt": "44 5\n", "b.txt": "B4 D4 B5\n4 5 B6\n", "good.txt": good})
	got := call(t, "", "check", "a.txt", "--fix")
	assert.Equal(t, result{0, "4 4 5\n", "reedlark: 1 edit made in 1 page\n"}, got)
	got = call(t, "", "check", "good.txt", "--fix=all", "--diff")
	assert.Equal(t, result{0, "", "reedlark: 0 edits made in 0 pages\n"}, got)
	got = call(t, "", "check", "a.txt", "good.txt", "--fix", "--in-place")
	assert.Equal(t, 0, got.code, got.err)
	assert.Equal(t, "4 4 5\n", text(t, "a.txt"))
	assert.Equal(t, "44 5\n", text(t, batch.BackupName+"/1/a.txt"))
	require.Equal(t, 0, call(t, "", "rewrite", "--undo", "a.txt").code)
	assert.Equal(t, "44 5\n", text(t, "a.txt"))
	got = call(t, "", "check", "a.txt", "good.txt", "--fix", "-o", "new")
	assert.Equal(t, 0, got.code, got.err)
	assert.Equal(t, good, text(t, "new/good.txt"))
	got = call(t, "", "check", "a.txt", "--fix", "--diff")
	assert.Equal(t, "--- a.txt\n+++ a.txt\n@@ -1,1 +1,1 @@\n-44 5\n+4 4 5\n", got.out)
	got = call(t, "just words\n", "check", "-", "--fix")
	assert.Equal(t, 1, got.code, "what no edit helps is still an error")
}

// What a note says is in no doubt, and is not undone.
func TestFixLeavesNotesAlone(t *testing.T) {
	const quoted = "A tune\n> 4 -4 5\n> 5 -5 6\n> 6 -6 7\n"
	folder(t, map[string]string{"a.txt": quoted})
	require.Contains(t, call(t, "", "check", "a.txt").out, "note: The > at the head of lines")
	assert.Equal(t, quoted, call(t, "", "check", "a.txt", "--fix=all").out)
}

func TestFixRefuses(t *testing.T) {
	folder(t, map[string]string{"a.txt": good, "b.txt": good})
	for args, says := range map[string]string{
		"a.txt --in-place":            "go with --fix",
		"a.txt --diff":                "go with --fix",
		"a.txt -o new.md":             "go with --fix",
		"a.txt --fix=some":            "must be --fix alone or --fix=all",
		"a.txt --fix --json":          "cannot be combined with --json",
		"a.txt b.txt --fix":           "say where 2 pages go",
		"a.txt --fix --in-place -o x": "two places for one page",
		"a.txt --summary --sarif -":   "would both write to standard output",
	} {
		got := call(t, "", append([]string{"check"}, strings.Fields(args)...)...)
		assert.Equal(t, 2, got.code, args)
		assert.Contains(t, got.err, says, args)
	}
}

func TestSummaryOfCodes(t *testing.T) {
	folder(t, map[string]string{"in/a.txt": "44 44 5\n", "in/b.txt": bad + "66\n"})
	got := call(t, "", "check", "in", "--summary")
	assert.Equal(t, 1, got.code)
	lines := strings.Split(got.out, "\n")
	assert.Equal(t, "places  pages  severity  code             first at", lines[0])
	assert.Regexp(t, `^3 +2 +error +same-hole-twice +in/a.txt:1:1$`, lines[1])
	assert.Regexp(t, `^1 +1 +error +unknown-word +in/b.txt:1:6$`, lines[2])
	var all struct{ Codes []codeCount }
	require.NoError(t, json.Unmarshal([]byte(call(t, "", "check", "in", "--summary", "--json").out), &all))
	require.Len(t, all.Codes, 2)
	assert.Equal(t, codeCount{"same-hole-twice", diag.Error, 3, 2, "in/a.txt:1:1"}, all.Codes[0])
}

// A result for each place, and the edits with the first of them: what an editor
// makes of them is what --fix does.
func TestSarifFixes(t *testing.T) {
	const five = "B4 D4 B5\n4 B4\n4 B4\n4 B4\n4 B4\n4 B4 44\n"
	folder(t, map[string]string{"a.txt": five})
	var log sarifLog
	require.NoError(t, json.Unmarshal([]byte(call(t, "", "check", "a.txt", "--sarif", "-").out), &log))
	byRule := map[string][]sarifResult{}
	for _, r := range log.Runs[0].Results {
		byRule[r.RuleID] = append(byRule[r.RuleID], r)
	}
	twice := byRule["same-hole-twice"]
	require.Len(t, twice, 1)
	require.NotEmpty(t, twice[0].Fixes)
	change := twice[0].Fixes[0].Changes[0]
	assert.Equal(t, "a.txt", change.Artifact.URI)
	assert.Equal(t, sarifReplacement{&sarifRegion{6, 6, 6, 8}, sarifText{"4 4"}}, change.Replacements[0])
	bare := byRule["bare-number"]
	require.Len(t, bare, 6)
	for i, r := range bare[:5] {
		assert.Equal(t, i+2, r.Locations[0].Physical.Region.StartLine)
	}
}

// pagesAtHand are the demo tabs and the pages of the goldens of package tab.
func pagesAtHand(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, pattern := range []string{"testdata/tabs/*.txt", "tab/testdata/*.golden", "tab/testdata/print/*.golden"} {
		names, err := filepath.Glob(filepath.Join(root, filepath.FromSlash(pattern)))
		require.NoError(t, err)
		require.NotEmpty(t, names)
		for _, name := range names {
			out[name], _, _ = strings.Cut(text(t, name), "\n====\n")
		}
	}
	return out
}

// weigh counts diagnostics by what they say, and those of each severity.
func weigh(list []diag.Diagnostic) (says map[string]int, errors int) {
	says = map[string]int{}
	for _, d := range list {
		says[string(d.Code)+d.Message] += d.Total()
		if d.Severity == diag.Error {
			errors++
		}
	}
	return says, errors
}

// Every edit that a page is offered, by its text or by the player, changes the
// text, answers its diagnostic, and leaves no more errors than there were.
func TestEveryEditAtHand(t *testing.T) {
	c := &console{request: api.Defaults(), door: api.NewDoor()}
	tried := 0
	for name, page := range pagesAtHand(t) {
		before, err := c.diagnose(t.Context(), page)
		if err != nil && refused(err) == nil {
			continue // longer than a page may be
		}
		said, errors := weigh(before)
		for _, d := range before {
			for _, e := range d.Edits {
				tried++
				fixed, made := diag.Apply(page, e)
				require.Equal(t, 1, made)
				require.NotEqual(t, page, fixed)
				after, _ := c.diagnose(t.Context(), fixed) // refused or not
				says, left := weigh(after)
				key := string(d.Code) + d.Message
				what := []any{"%s:%d:%d %s, edit %q", filepath.Base(name), d.Line, d.Column, d.Code, e.Label}
				assert.Less(t, says[key], said[key], what...)
				assert.LessOrEqual(t, left, errors, what...)
			}
		}
	}
	assert.Greater(t, tried, 30)
}

// --fix=all comes to an end on every page, leaves no more errors, and what it did
// it does not do again.
func TestFixEndsEverywhere(t *testing.T) {
	c := &console{request: api.Defaults(), door: api.NewDoor()}
	for name, page := range pagesAtHand(t) {
		before, _ := c.diagnose(t.Context(), page)
		_, errors := weigh(before)
		fixed, after, _, err := c.fix(t.Context(), page, fixAll)
		if err != nil && refused(err) == nil {
			continue
		}
		_, left := weigh(after)
		assert.LessOrEqual(t, left, errors, name)
		again, _, made, _ := c.fix(t.Context(), fixed, fixAll)
		assert.Equal(t, fixed, again, name)
		assert.Zero(t, made, name)
	}
}
