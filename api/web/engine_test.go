package web_test

import (
	"io/fs"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/web"
)

// TestEngineSource: the hash follows from the source and from nothing else.
func TestEngineSource(t *testing.T) {
	once, err := web.EngineSource("../..")
	require.NoError(t, err)
	again, err := web.EngineSource("../..")
	require.NoError(t, err)
	assert.Equal(t, once, again)
	assert.Len(t, once, 32)
}

// TestEngineIsNotStale: an engine that was built was built from this source.
// Where there is none, its folder holds nothing that could be taken for one.
func TestEngineIsNotStale(t *testing.T) {
	names, err := fs.Glob(web.EngineFiles(), "*")
	require.NoError(t, err)
	built, ok := web.EngineAnyVersion()
	if !ok {
		assert.Equal(t, []string{".gitkeep"}, names, "half an engine: run "+web.BuildCommand)
		return
	}
	source, err := web.EngineSource("../..")
	require.NoError(t, err)
	assert.Equal(t, source, built.Source, "the engine is stale: run "+web.BuildCommand)
	assert.Contains(t, names, built.File)
	assert.Contains(t, names, "wasm_exec.js")
}
