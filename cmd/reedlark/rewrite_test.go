package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/cmd/reedlark/batch"
)

func text(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(b)
}

const letters = "B4 D4 B5 D5 B6-\n"

// oldTabs are pages such as people have: right already, to be rewritten, and
// at fault.
func oldTabs(t *testing.T) time.Time {
	t.Helper()
	folder(t, map[string]string{
		"old/right.txt": "Words stay.\n" + letters, "old/unit/signs.TAB": good, "old/bad.txt": bad, "old/picture.png": "\x89PNG",
		"old/dos.txt": "\xef\xbb\xbfTitle: Gr\u00fc\u00dfe\r\n\r\n4 -4  5 \r\nla la  la", "old/office.txt": "caf\xe9\r4 \x964 -3\x92\r",
		"old/wide.txt": "\xff\xfe4\x00 \x00-\x004\x00\r\x00\n\x00",
	})
	past := time.Now().Add(-time.Hour).Truncate(time.Second)
	for _, name := range tree(t, "old") {
		require.NoError(t, os.Chtimes(filepath.Join("old", name), past, past))
	}
	return past
}

// rewritten is what becomes of them. Worked out by hand.
var rewritten = map[string]string{
	"right.txt": "Words stay.\n" + letters, "unit/signs.TAB": letters,
	"dos.txt":    "\xef\xbb\xbfTitle: Gr\u00fc\u00dfe\r\n\r\nB4 D4  B5 \r\nla la  la",
	"office.txt": "caf\xe9\rB4 D4 D3/\r", "wide.txt": "\xff\xfeB\x004\x00 \x00D\x004\x00\r\x00\n\x00",
}

func TestRewriteToAnotherFolder(t *testing.T) {
	oldTabs(t)
	got := call(t, "", "rewrite", "old", "-o", "new", "--to-convention", "letters")
	assert.Equal(t, 1, got.code)
	assert.Contains(t, got.err, "old/bad.txt:1:6: error: ")
	assert.Contains(t, got.err, "old/office.txt: this is not UTF-8; it is read as Windows-1252")
	assert.True(t, strings.HasSuffix(got.err, "reedlark: 4 pages rewritten, 1 right already, 1 refused\n"), got.err)
	assert.Len(t, tree(t, "new"), len(rewritten))
	for name, want := range rewritten {
		assert.Equal(t, want, text(t, "new/"+name), name)
	}
}

const kept = batch.BackupName

// signature is all that undo restores of a file.
func signature(t *testing.T, name string) string {
	t.Helper()
	info, err := os.Stat(name)
	require.NoError(t, err)
	return fmt.Sprintf("%v %v %q", info.Mode(), info.ModTime(), text(t, name))
}

func TestRewriteInPlaceKeepsThePageAsItWas(t *testing.T) {
	oldTabs(t)
	require.NoError(t, os.Chmod("old/dos.txt", 0o640))
	require.NoError(t, os.WriteFile("old/.reedlark-999-0.part", []byte("half"), 0o644))
	before, texts := map[string]string{}, map[string]string{}
	for _, name := range tree(t, "old")[1:] {
		before[name], texts[name] = signature(t, "old/"+name), text(t, "old/"+name)
	}
	rewrite := func(page, to string, code int) {
		t.Helper()
		got := call(t, "", "rewrite", page, "--in-place", "--to-convention", to)
		require.Equal(t, code, got.code, got.err)
	}
	rewrite("old", "letters", 1)
	assert.NoFileExists(t, "old/.reedlark-999-0.part", "what a dead process left")
	stored := 0
	for name, was := range before {
		want, known := rewritten[name]
		if !known || want == texts[name] {
			assert.Equal(t, was, signature(t, "old/"+name), "%s is not touched", name)
			assert.NoFileExists(t, "old/"+kept+"/1/"+name)
			continue
		}
		stored++
		assert.Equal(t, want, text(t, "old/"+name))
		assert.Equal(t, was, signature(t, "old/"+kept+"/1/"+name), "mode and time too")
	}
	assert.Equal(t, 4, stored)

	again := tree(t, "old")
	rewrite("old", "letters", 1)
	assert.Equal(t, again, tree(t, "old"), "the second time nothing is left to do")
	rewrite("old/dos.txt", "arrows", 0)
	assert.Equal(t, texts["dos.txt"], text(t, "old/"+kept+"/1/dos.txt"), "nothing that was kept is lost")
	assert.Equal(t, rewritten["dos.txt"], text(t, "old/"+kept+"/2/dos.txt"))
	for range 3 { // there and back: no bytes are stored twice
		rewrite("old/dos.txt", "letters", 0)
		rewrite("old/dos.txt", "arrows", 0)
	}
	assert.Len(t, tree(t, "old/"+kept), 4+1+1+1, "four pages, letters, arrows and the log")
}

func TestUndo(t *testing.T) {
	oldTabs(t)
	before := map[string]string{}
	for _, name := range tree(t, "old") {
		before[name] = signature(t, "old/"+name)
	}
	undo := func(code int, says string, args ...string) {
		t.Helper()
		got := call(t, "", append([]string{"rewrite", "--undo"}, args...)...)
		assert.Equal(t, code, got.code, got.err)
		assert.Contains(t, got.err, says)
	}
	undo(2, "nothing here was rewritten", "old")
	require.Equal(t, 1, call(t, "", "rewrite", "old", "--in-place", "--to-convention", "letters").code)
	after := signature(t, "old/dos.txt")
	require.Equal(t, 0, call(t, "", "rewrite", "old/dos.txt", "old/unit", "--in-place", "--to-convention", "arrows").code)
	undo(0, "1 page restored", "old/dos.txt")
	assert.Equal(t, after, signature(t, "old/dos.txt"), "one run back")
	require.NoError(t, os.WriteFile("old/office.txt", []byte("mine"), 0o644))
	undo(0, "1 page restored", "old/unit")
	undo(2, "old/office.txt: it was changed after it was rewritten", "old")
	assert.Equal(t, "mine", text(t, "old/office.txt"))
	require.NoError(t, os.Remove("old/office.txt"))
	undo(0, "1 page restored", "old")
	for name, was := range before {
		assert.Equal(t, was, signature(t, "old/"+name))
	}
	undo(2, "nothing here was rewritten", "old/unit/signs.TAB")
	undo(2, "--undo cannot be combined", "old", "--in-place")

	require.Equal(t, 0, call(t, "", "rewrite", "old/unit", "old/dos.txt", "--in-place", "--backup", "safe", "--to-convention", "letters").code)
	assert.Equal(t, []string{".reedlark-replaced", "1/old/dos.txt", "1/old/unit/signs.TAB"}, tree(t, "safe"))
	undo(2, "nothing here was rewritten", "old/unit")
	undo(0, "2 pages restored", "old", "--backup", "safe")
	assert.Equal(t, before["dos.txt"], signature(t, "old/dos.txt"))
	got := call(t, "", "rewrite", "old", "--in-place", "--backup", "old/safe")
	assert.Contains(t, got.err, "is inside the folder of the pages")
}

func TestRewriteDiff(t *testing.T) {
	past := oldTabs(t)
	got := call(t, "", "rewrite", "old/right.txt", "old/unit", "old/dos.txt", "--diff", "--to-convention", "letters")
	assert.Equal(t, 0, got.code, got.err)
	assert.Equal(t, "--- old/unit/signs.TAB\n+++ old/unit/signs.TAB\n@@ -1,1 +1,1 @@\n-"+good+"+"+letters+
		"--- old/dos.txt\n+++ old/dos.txt\n@@ -1,4 +1,4 @@\n \ufeffTitle: Gr\u00fc\u00dfe\r\n \r\n-4 -4  5 \r\n+B4 D4  B5 \r\n la la  la\n\\ No newline at end of file\n", got.out)
	assert.True(t, strings.HasSuffix(got.err, "2 pages would change, 1 right already\n"), got.err)
	info, err := os.Stat("old/dos.txt")
	require.NoError(t, err)
	assert.True(t, info.ModTime().Equal(past))
}

func TestRewriteRefuses(t *testing.T) {
	for args, says := range map[string]string{
		"old":                                    "say where 6 pages go",
		"old --in-place -o new":                  "two places for one page",
		"- --in-place":                           "standard input cannot be rewritten",
		"old -o old":                             "--in-place does that",
		"old -o old/new":                         "is inside the folder of the pages",
		"old -o old/bad.txt":                     "6 pages do not fit into old/bad.txt",
		"old -o -":                               "6 pages do not fit into -",
		"old/bad.txt old/unit/../bad.txt -o new": "would both become new/bad.txt",
		"old/picture.png":                        "Title",
	} {
		oldTabs(t)
		if strings.Contains(args, "png") {
			require.NoError(t, os.WriteFile("old/picture.png", []byte("\x89PNG\x00\x01"), 0o644))
			says = "this is a binary file"
		}
		before := tree(t, ".")
		got := call(t, "", append([]string{"rewrite"}, strings.Fields(args)...)...)
		assert.Equal(t, 2, got.code, args)
		assert.Contains(t, got.err, says, args)
		assert.Equal(t, before, tree(t, "."), args)
	}
}

// Where nothing more can be written, the pages after it are not begun, and
// what failed is not called refused.
func TestRewriteEndsWhereNobodyReads(t *testing.T) {
	oldTabs(t)
	var said bytes.Buffer
	code := run(t.Context(), strings.Fields("rewrite old --diff --to-convention letters"), nil, &broken{10, syscall.EPIPE}, &said)
	assert.Equal(t, 3, code)
	assert.Contains(t, said.String(), "0 pages would change, 0 right already, 1 refused, 1 failed, 4 not reached\n")
	said.Reset()
	assert.Equal(t, 3, run(t.Context(), strings.Fields("check old"), nil, &broken{10, syscall.EPIPE}, &said))
	assert.NotContains(t, said.String(), "office.txt", "it comes after bad.txt")
}

// Of every page in the collection that plays, only the lines of tab change; there
// and back again nothing more does.
func TestRewriteKeepsTheLayout(t *testing.T) {
	for _, page := range allPages(t) {
		if isMistaken(page) {
			continue
		}
		was := text(t, page)
		for _, to := range []string{"signs", "letters", "arrows"} {
			got := call(t, "", "rewrite", page, "--anyway", "--to-convention", to)
			require.Equal(t, 0, got.code, got.err)
			require.Equal(t, strings.Count(was, "\n"), strings.Count(got.out, "\n"), page)
			again := call(t, got.out, "rewrite", "-", "--to-convention", to)
			assert.Equal(t, got.out, again.out, "%s in %s is right", page, to)
		}
	}
}

// Where the encoding of a page has no arrows, the page becomes UTF-8, and that is
// said.
func TestRewriteInAnotherEncoding(t *testing.T) {
	oldTabs(t)
	got := call(t, "", "rewrite", "old/office.txt", "--to-convention", "arrows")
	require.Zero(t, got.code)
	assert.Equal(t, "caf\u00e9\r4\u2191 4\u2193 3\u2193/\r", got.out)
	assert.Contains(t, got.err, "old/office.txt: Windows-1252 lacks some of the characters, so the page is written as UTF-8")
}

// While it is in doubt what is blown, a page is not rewritten as if it were known.
func TestRewriteAsksFirst(t *testing.T) {
	folder(t, map[string]string{"tune.txt": "B4 D4 5 B4\n"})
	for _, args := range []string{"tune.txt", "tune.txt --in-place", "tune.txt --diff"} {
		got := call(t, "", append([]string{"rewrite"}, strings.Fields(args)...)...)
		assert.Equal(t, 1, got.code, args)
		assert.Empty(t, got.out)
		assert.Contains(t, got.err, "tune.txt: not rewritten, because it is in doubt what is blown and what is drawn: answer the question in line 1")
	}
	assert.Equal(t, "B4 D4 5 B4\n", text(t, "tune.txt"))
	got := call(t, "", "rewrite", "tune.txt", "--anyway")
	assert.Zero(t, got.code)
	assert.Equal(t, "4 -4 5 4\n", got.out)
}

// A page in canonical spellings comes back byte for byte from another convention.
// One with a doubt about its dashes has others.
func TestThereAndBack(t *testing.T) {
	canonical := 0
	for _, page := range allPages(t) {
		was := text(t, page)
		if isMistaken(page) || strings.Contains(call(t, was, "check", "-").out, "two-readings") || call(t, was, "rewrite", "-", "--to-convention", "signs").out != was {
			continue
		}
		canonical++
		for _, to := range []string{"letters", "arrows"} {
			there := call(t, was, "rewrite", "-", "--to-convention", to).out
			require.NotEqual(t, was, there)
			assert.Equal(t, was, call(t, there, "rewrite", "-", "--to-convention", "signs").out, "%s, by %s", page, to)
		}
	}
	assert.GreaterOrEqual(t, canonical, 15)
}
