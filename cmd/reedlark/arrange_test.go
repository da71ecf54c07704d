package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
)

// steps is a book of two tunes of our own invention, the second with a note that a
// harp in C bends for.
const steps = "X:1\nT:Up the Steps\nM:4/4\nL:1/4\nK:C\ncdef|gab c'|\n\nX:2\nT:Down/again\nM:4/4\nL:1/4\nK:C\nc_edc|\n"

func TestArrangeOneTune(t *testing.T) {
	const page = "Title: Up the Steps\nHarp: C\nMetre: 4/4\n\n4 -4 5 -5 | 6 -6 -7 7 |\n"
	got := call(t, steps, "arrange", "-", "--tune", "1")
	assert.Equal(t, 0, got.code)
	assert.Equal(t, page, got.out)
	assert.Contains(t, got.err, "harp  position")
	assert.Contains(t, got.err, "the page is for a harp in C")

	got = call(t, steps, "arrange", "-", "--tune", "1", "--json", "--limit", "2")
	var a openapi.Arrangement
	require.NoError(t, json.Unmarshal([]byte(got.out), &a))
	assert.Equal(t, page, a.Tab)
	assert.Len(t, a.Ways, 2)
	assert.Len(t, a.Tunes, 2)
}

// A book becomes a folder of pages, each named after its tune.
func TestArrangeABook(t *testing.T) {
	out := filepath.Join(t.TempDir(), "pages")
	got := call(t, steps, "arrange", "-", "-o", out, "--harp", "C")
	assert.Equal(t, 0, got.code, got.err)
	for _, name := range []string{"1-up-the-steps.txt", "2-down-again.txt"} {
		text, err := os.ReadFile(filepath.Join(out, name))
		require.NoError(t, err)
		assert.Contains(t, string(text), "Harp: C\n")
	}
	got = call(t, steps, "arrange", "-")
	assert.Equal(t, 2, got.code)
	assert.Contains(t, got.err, "--tune")
}

// What is lost, and what cannot be used, is the score's fault; a wrong option is the
// caller's.
func TestArrangeFails(t *testing.T) {
	got := call(t, steps, "arrange", "-", "--tune", "2", "--harp", "C", "--octave", "0", "--allow-bends", "none", "--allow-overs=false")
	assert.Equal(t, 1, got.code)
	assert.Contains(t, got.out, "the harp in C has no Eb5")
	assert.Contains(t, got.err, "has no Eb5")
	for _, c := range []struct {
		stdin, says string
		args        []string
		code        int
	}{
		{"words", "there is no tune", nil, 1},
		{steps, "there is no tune 9", []string{"--tune", "9"}, 2},
		{steps, "position", []string{"--tune", "1", "--harp", "C", "--in-position", "2"}, 2},
		{steps, "allow-bends", []string{"--tune", "1", "--allow-bends", "few"}, 2},
	} {
		got := call(t, c.stdin, append([]string{"arrange", "-"}, c.args...)...)
		assert.Equal(t, c.code, got.code, c.says)
		assert.Contains(t, got.err, c.says)
	}
}
