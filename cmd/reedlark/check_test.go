package main

import (
	"encoding/json"
	"os"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lessons is a folder of lessons such as people have: pages, folders in folders,
// and what is no page.
func lessons(t *testing.T) {
	t.Helper()
	folder(t, map[string]string{
		"lessons/01.txt": good, "lessons/02 breath.TAB": doubtful, "lessons/deep/er/03.txt": bad,
		"lessons/notes.md": "# not a page", "lessons/.git/old.txt": bad, "lessons/cover.png": "\x89PNG",
		"lessons/binary.txt": "4 \x00\xff\xfe 5", "lessons/wide.txt": "\xff\xfe4\x00 \x005\x00",
	})
	require.NoError(t, os.Symlink("..", "lessons/deep/back"))
	require.NoError(t, os.Symlink("nowhere.txt", "lessons/gone.txt"))
	require.NoError(t, os.Symlink("round.txt", "lessons/round.txt"))
	require.NoError(t, syscall.Mkfifo("lessons/pipe.txt", 0o600))
}

// A walk goes into every folder, once, and never waits at a pipe.
func TestCheckAFolder(t *testing.T) {
	lessons(t)
	got := call(t, "", "check", "lessons")
	assert.Equal(t, 3, got.code, "a pipe among the pages")
	for _, says := range []string{
		"lessons/deep/back: this link leads back to a folder that contains it\n",
		"lessons/gone.txt: this link leads to no file\n",
		"lessons/round.txt: too many levels of symbolic links\n",
		"lessons/pipe.txt: this is not an ordinary file\n",
		"lessons/binary.txt: this is a binary file, not a page of tab\n",
		"lessons/wide.txt: this is not UTF-8; it is read as UTF-16 LE\n",
		"5 pages checked: 1 unreadable, 1 refused, 1 error, 1 warning\n",
	} {
		assert.Equal(t, 1, strings.Count(got.err, says), "%s in %s", says, got.err)
	}
	assert.Equal(t, []string{
		"lessons/02 breath.TAB:1:3: warning: This line is read as words, because to is no note. [read-as-words]",
		"lessons/deep/er/03.txt:1:6: error: “Q” is not a note, and not anything else that can be played. [unknown-word]",
	}, headings(got.out))
}

// headings are the lines that name a place.
func headings(out string) (found []string) {
	for line := range strings.Lines(out) {
		if !strings.HasPrefix(line, " ") {
			found = append(found, strings.TrimSuffix(line, "\n"))
		}
	}
	return found
}

func TestCheckWhatIsFineSaysNothing(t *testing.T) {
	folder(t, map[string]string{"a/1.txt": good, "a/2.txt": good, "b/readme.md": ""})
	got := call(t, "", "check", "a")
	assert.Equal(t, result{0, "", "reedlark: 2 pages checked: nothing to say\n"}, got)
	got = call(t, "", "check", "b")
	assert.Equal(t, 2, got.code)
	assert.Contains(t, got.err, "b: there is no .txt and no .tab file in this folder")
}

// One line of JSON for each file, as soon as it is checked; what could not be
// checked has its line too.
func TestCheckInJSON(t *testing.T) {
	folder(t, map[string]string{"good.txt": good, "bad.txt": bad})
	got := call(t, "", "check", "--json", "good.txt", "bad.txt", "none.txt")
	assert.Equal(t, 2, got.code)
	lines := strings.SplitAfter(got.out, "\n")
	require.Len(t, lines, 4)
	assert.Equal(t, `{"file":"good.txt","diagnostics":[]}`+"\n", lines[0])
	var v verdict
	require.NoError(t, json.Unmarshal([]byte(lines[1]), &v))
	require.Len(t, v.Diagnostics, 1)
	assert.Equal(t, "bad.txt", v.File)
	assert.Equal(t, 6, v.Diagnostics[0].Column)
	assert.Equal(t, `{"file":"none.txt","diagnostics":[],"error":"there is no such file"}`+"\n", lines[2])
}

func TestCheckAsSarif(t *testing.T) {
	lessons(t)
	require.Equal(t, 1, call(t, "", "check", "lessons/deep/er/03.txt", "lessons/02 breath.TAB", "--sarif", "out.sarif").code)
	text, err := os.ReadFile("out.sarif")
	require.NoError(t, err)
	var log sarifLog
	require.NoError(t, json.Unmarshal(text, &log))
	assert.Equal(t, "2.1.0", log.Version)
	require.Len(t, log.Runs, 1)
	run := log.Runs[0]
	assert.Equal(t, "reedlark", run.Tool.Driver.Name)
	assert.Equal(t, "unicodeCodePoints", run.ColumnKind)
	require.Len(t, run.Results, 2)
	first, second := run.Results[0], run.Results[1]
	assert.Equal(t, "unknown-word", first.RuleID)
	assert.Equal(t, run.Tool.Driver.Rules[first.RuleIndex].ID, first.RuleID)
	assert.Equal(t, "error", first.Level)
	assert.Equal(t, located("lessons/deep/er/03.txt", &sarifRegion{1, 6, 1, 7}), first.Locations[0])
	assert.Equal(t, "warning", second.Level)
	assert.Equal(t, run.Tool.Driver.Rules[second.RuleIndex].ID, second.RuleID)
	assert.Equal(t, "lessons/02%20breath.TAB", second.Locations[0].Physical.Artifact.URI)
	assert.True(t, run.Invocations[0].Successful)

	got := call(t, "", "check", "lessons", "--sarif", "-")
	assert.Equal(t, 3, got.code)
	require.NoError(t, json.Unmarshal([]byte(got.out), &log), "nothing else on standard output")
	assert.False(t, log.Runs[0].Invocations[0].Successful)
	assert.Len(t, log.Runs[0].Invocations[0].Notifications, 5)
}

// ref: RFC 3986, section 3.3: a path's characters outside the unreserved set
// are percent-encoded, and a first segment may not look like a scheme.
func TestSarifAddresses(t *testing.T) {
	for name, want := range map[string]string{
		"a/b.txt": "a/b.txt", "./a.txt": "a.txt", "2:1.txt": "./2:1.txt", "50%.txt": "50%25.txt", "é?.txt": "%C3%A9%3F.txt",
		"/srv/a b.txt": "file:///srv/a%20b.txt", "<stdin>": "%3Cstdin%3E",
	} {
		assert.Equal(t, want, located(name, nil).Physical.Artifact.URI)
	}
}
