package server

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/api"
	"reedlark/api/web"
)

// TestEngineFiles: the engine is offered exactly where it was built for this
// version, and is kept for ever, since its name changes with its bytes.
func TestEngineFiles(t *testing.T) {
	engine, built := web.BuiltEngine(api.EngineVersion())
	want := http.StatusNotFound
	if built {
		want = http.StatusOK
	}
	for _, name := range []string{"engine.json", "wasm_exec.js", engine.File} {
		got := record(shared(), call{target: "/assets/" + name})
		assert.Equal(t, want, got.StatusCode, name)
		if built && name == engine.File {
			assert.Contains(t, got.Header.Get("Cache-Control"), "immutable")
		}
	}
	assert.Equal(t, http.StatusNotFound, record(shared(), call{target: "/assets/.gitkeep"}).StatusCode)
}
