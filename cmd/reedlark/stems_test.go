package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-audio/wav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// samples are those of a WAV file as go-audio reads it.
func samples(t *testing.T, name string) []int {
	t.Helper()
	file, err := os.ReadFile(name)
	require.NoError(t, err)
	buf, err := wav.NewDecoder(bytes.NewReader(file)).FullPCMBuffer()
	require.NoError(t, err)
	return buf.Data
}

// The stems lie in their folder under the sound's name, and added sample by
// sample they are the sound: to a few parts in eight million.
func TestStems(t *testing.T) {
	folder(t, map[string]string{"tune.txt": "chords: C G7\n4 -4 5 -5 6---\n"})
	r := call(t, "", "render", "tune.txt", "--backing", "chords", "--count-in", "1", "--depth", "24", "--stems", "parts")
	require.Equal(t, 0, r.code, r.err)
	require.Equal(t, []string{"tune.backing.wav", "tune.bass.wav", "tune.clicks.wav", "tune.comping.wav", "tune.melody.wav"}, names(t, "parts"))
	whole := samples(t, "tune.wav")
	melody, backing := samples(t, filepath.Join("parts", "tune.melody.wav")), samples(t, filepath.Join("parts", "tune.backing.wav"))
	require.Len(t, melody, len(whole))
	high := 0
	for i, x := range whole {
		require.InDelta(t, x, melody[i]+backing[i], 8)
		high = max(high, backing[i])
	}
	assert.Greater(t, high, 1<<16, "something plays along")
}

func TestStemsOfOtherKinds(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good, "other.txt": good, "sub/tune.backing.wav": "4 5\n"})
	r := call(t, good, "render", "-", "-o", "-", "--format", "flac", "--stems", "parts")
	require.Equal(t, 0, r.code, r.err)
	assert.Equal(t, []string{"tab.backing.flac", "tab.melody.flac"}, names(t, "parts"))
	r = call(t, "", "render", "tune.txt", "--mix", "split", "--stems", "sides")
	require.Equal(t, 0, r.code, r.err)
	assert.Len(t, samples(t, "tune.wav"), 2*len(samples(t, "sides/tune.melody.wav")))
	for _, args := range [][]string{{"tune.txt", "other.txt"}, {"tune.txt", "--harp", "C,D"}, {"tune.txt", "--json"}} {
		r = call(t, "", append([]string{"render", "--stems", "parts"}, args...)...)
		assert.Equal(t, 2, r.code, "%v", args)
		assert.Contains(t, r.err, "stems")
	}
	before := tree(t, ".")
	for args, says := range map[string]string{
		"tune.txt --stems other.txt":                                   "other.txt is a file",
		"sub/tune.backing.wav -o tune.wav --stems sub":                 "would overwrite sub/tune.backing.wav",
		"tune.txt -o x.wav --stems parts --picture parts/x.melody.wav": "would overwrite parts/x.melody.wav",
	} {
		r = call(t, "", append([]string{"render"}, strings.Fields(args)...)...)
		assert.Equal(t, 2, r.code, args)
		assert.Contains(t, r.err, says)
		assert.Equal(t, before, tree(t, "."), "nothing was made")
	}
}
