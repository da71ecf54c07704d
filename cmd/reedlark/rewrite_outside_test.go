//go:build outside

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The diff is one that the patch of other people takes: it makes of the old pages
// what rewriting makes of them.
func TestPatchTakesTheDiff(t *testing.T) {
	pages := map[string]string{"old/dos.txt": "\ufeffTitle: Gr\u00fc\u00dfe\r\n\r\n4 -4  5 \r\nla la  la", "old/long.txt": strings.Repeat("la\n4\nla\nla\nla\nla\nla\nla\nla\n-4 5\n-4\n", 5)}
	for _, page := range allPages(t) {
		if !isMistaken(page) {
			pages["old/"+page[strings.LastIndex(page, "/")+1:]] = text(t, page)
		}
	}
	folder(t, pages)
	diff := call(t, "", "rewrite", "old", "--anyway", "--diff", "--to-convention", "letters")
	require.Equal(t, 0, diff.code, diff.err)
	require.Equal(t, 0, call(t, "", "rewrite", "old", "--anyway", "-o", "new", "--to-convention", "letters").code)
	patch := exec.Command("patch", "--binary", "--strip=0", "--fuzz=0", "--no-backup-if-mismatch")
	patch.Stdin = strings.NewReader(diff.out)
	out, err := patch.CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.NotContains(t, string(out), "offset")
	for _, name := range tree(t, "new") {
		assert.Equal(t, text(t, "new/"+name), text(t, "old/"+name), name)
	}
	assert.Len(t, tree(t, "old"), len(pages))
	_, err = os.Stat("old/dos.txt.orig")
	assert.ErrorIs(t, err, os.ErrNotExist)
}

// So is the diff of edits, which add and remove lines.
func TestPatchTakesTheFixes(t *testing.T) {
	pages := map[string]string{}
	for name, page := range pagesAtHand(t) {
		if !strings.ContainsAny(page, "\x00") && page != "" {
			pages["old/"+strings.TrimSuffix(filepath.Base(name), ".golden")+".txt"] = page
		}
	}
	folder(t, pages)
	diff := call(t, "", "check", "old", "--fix=all", "--diff")
	require.LessOrEqual(t, diff.code, 1, diff.err)
	require.LessOrEqual(t, call(t, "", "check", "old", "--fix=all", "-o", "new").code, 1)
	patch := exec.Command("patch", "--binary", "--strip=0", "--fuzz=0", "--no-backup-if-mismatch")
	patch.Stdin = strings.NewReader(diff.out)
	out, err := patch.CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.NotContains(t, string(out), "offset")
	changed := 0
	for _, name := range tree(t, "new") {
		assert.Equal(t, text(t, "new/"+name), text(t, "old/"+name), name)
		if pages["old/"+name] != text(t, "new/"+name) {
			changed++
		}
	}
	assert.Greater(t, changed, 5)
}
