//go:build outside

package main

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What nobody can read is not written to a terminal, whichever command makes it.
func TestNoFilesOnATerminal(t *testing.T) {
	folder(t, map[string]string{"a.txt": good})
	self, err := os.Executable()
	require.NoError(t, err)
	for args, says := range map[string]string{
		"render a.txt -o -": "sound is not text", "practice a.txt -o -": "a zip file is not text",
		"score a.txt --midi -": "a MIDI file is not text", "score a.txt --format midi": "a MIDI file is not text",
	} {
		cmd := exec.Command("script", "--quiet", "--return", "--command", "'"+self+"' "+args, "typescript")
		cmd.Env = append(os.Environ(), asProgram+"=1")
		said, err := cmd.Output()
		var failed *exec.ExitError
		require.ErrorAs(t, err, &failed, args)
		assert.Equal(t, 2, failed.ExitCode(), args)
		assert.Contains(t, string(said), says)
	}
}

// On a terminal, which script of util-linux makes one, a bar stands where a line
// for each sound stands elsewhere, and is gone in the end.
func TestBarOnATerminal(t *testing.T) {
	folder(t, map[string]string{"in/one.txt": good, "in/two.txt": good, "in/bad.txt": bad})
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command("script", "--quiet", "--return", "--command", "'"+self+"' render in -o out --harp all", "typescript")
	cmd.Env = append(os.Environ(), asProgram+"=1")
	said, err := cmd.Output()
	var failed *exec.ExitError
	require.ErrorAs(t, err, &failed)
	assert.Equal(t, 1, failed.ExitCode())
	assert.Contains(t, string(said), "\r["+strings.Repeat(" ", 30)+"] 0 of 36")
	assert.Contains(t, string(said), "\r["+strings.Repeat("=", 30)+"] 36 of 36")
	assert.NotContains(t, string(said), "wrote")
	assert.Regexp(t, regexp.MustCompile(`\] 36 of 36[^\r]*\r +\rin/bad\.txt:1:6: error: `), string(said))
	assert.True(t, strings.HasSuffix(string(said), "reedlark: 24 sounds made, 12 refused\r\n"), "%q", said)
}
