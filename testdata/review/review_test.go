package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEveryArticulationIsDrawn(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, review(dir))
	index, err := os.ReadFile(filepath.Join(dir, "index.html"))
	require.NoError(t, err)
	for _, a := range articulations {
		for _, kind := range []string{".wav", ".svg"} {
			assert.FileExists(t, filepath.Join(dir, a.name+kind))
		}
		assert.Contains(t, string(index), a.name+".svg")
		assert.NotEmpty(t, a.look)
	}
}

func TestWhatDoesNotRenderIsSaid(t *testing.T) {
	a := articulation{name: "wrong", tab: "4 Q -5 11"}
	assert.Error(t, a.draw(t.TempDir()))
	assert.Error(t, articulation{name: "wrong", tab: "4", set: []string{"tempo", "fast"}}.draw(t.TempDir()))
}
