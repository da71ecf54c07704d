package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every articulation is played and told of; to draw all of them takes a minute, so
// only the first is drawn.
func TestEveryArticulation(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, contents(dir, true))
	index, err := os.ReadFile(filepath.Join(dir, "index.html"))
	require.NoError(t, err)
	for _, a := range articulations {
		sound, _, err := a.render()
		require.NoError(t, err, a.name)
		assert.Greater(t, len(sound), 10_000, a.name)
		assert.Contains(t, string(index), a.name+".svg")
		assert.NotEmpty(t, a.look)
	}
	first := articulations[0]
	require.NoError(t, first.draw(dir))
	assert.FileExists(t, filepath.Join(dir, first.name+".wav"))
	assert.FileExists(t, filepath.Join(dir, first.name+".svg"))
	require.NoError(t, drawBeside(beside[4], dir))
	require.NoError(t, drawRecorded(filepath.Join(dir, "chord-plain.wav"), dir))
	for _, name := range []string{"chord-played", "chord-plain", "recorded"} {
		assert.FileExists(t, filepath.Join(dir, name+".svg"))
		assert.Contains(t, string(index), name+".svg")
	}
	assert.Error(t, drawRecorded(filepath.Join(dir, "nothing.wav"), dir))
}

func TestWhatDoesNotRenderIsSaid(t *testing.T) {
	a := articulation{name: "wrong", tab: "4 Q -5 11"}
	assert.Error(t, a.draw(t.TempDir()))
	assert.Error(t, articulation{name: "wrong", tab: "4", set: []string{"tempo", "fast"}}.draw(t.TempDir()))
}
