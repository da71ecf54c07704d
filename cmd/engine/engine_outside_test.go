//go:build outside

package main

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestBrowserBytes: built for the browser and run by node's WebAssembly, the
// engine answers every page with the bytes of the native code: score, picture,
// rewritten tab and sound.
func TestBrowserBytes(t *testing.T) {
	wasm := filepath.Join(t.TempDir(), "engine.wasm")
	build := exec.Command("go", "build", "-ldflags=-s -w", "-o", wasm, ".")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := build.CombinedOutput()
	require.NoError(t, err, "%s", out)
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	loader := filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js")

	var orders [][2]string
	var want []string
	e := newEngine()
	pages, err := filepath.Glob("../../testdata/tabs/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, pages)
	for _, name := range pages {
		page, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, resource := range []string{"score", "picture", "tab", "audio"} {
			body := post(t, string(page), map[string]any{"rate": 22050, "channels": 2})
			r := e.ask(context.Background(), resource, body)
			orders = append(orders, [2]string{resource, string(body)})
			want = append(want, fmt.Sprintf("%d %x", r.status, sha256.Sum256(r.body)))
		}
	}
	input, err := json.Marshal(orders)
	require.NoError(t, err)
	ask := exec.Command("node", "testdata/ask.mjs", wasm, loader)
	ask.Stdin = strings.NewReader(string(input))
	ask.Stderr = os.Stderr
	got, err := ask.Output()
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(got)), "\n")
	require.Len(t, lines, len(want))
	for i := range want {
		assert.Equal(t, want[i], lines[i], "%s of %s", orders[i][0], pages[i/4])
	}
}
