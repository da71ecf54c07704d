// Command build compiles cmd/engine for the browser and puts it, packed, into
// api/web/engine, whence it is embedded in the program. `go generate ./api/web`
// runs it in the folder api/web.
//
// It writes engine-HASH.bin (the WebAssembly module, gzipped; the name changes
// with the bytes, so it can be cached for ever), wasm_exec.js, which belongs to
// the version of Go it was built with, and engine.json, which describes them.
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"reedlark/api"
	"reedlark/api/web"
)

const folder = "engine"

func main() {
	if err := build(); err != nil {
		fmt.Fprintln(os.Stderr, "build:", err)
		os.Exit(1)
	}
}

// build writes everything or, where something fails, leaves no engine.json.
func build() error {
	if err := clear(); err != nil {
		return err
	}
	source, err := web.EngineSource("../..")
	if err != nil {
		return err
	}
	module, err := compile()
	if err != nil {
		return err
	}
	packed, err := pack(module)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(packed)
	m := web.Engine{
		Version: api.EngineVersion(), Source: source, File: "engine-" + hex.EncodeToString(sum[:8]) + ".bin",
		Bytes: len(packed), Unpacked: len(module),
	}
	if err := os.WriteFile(filepath.Join(folder, m.File), packed, 0o644); err != nil {
		return err
	}
	if err := copyLoader(); err != nil {
		return err
	}
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(folder, "engine.json"), append(text, '\n'), 0o644)
}

// clear removes an engine built before.
func clear() error {
	old, err := filepath.Glob(filepath.Join(folder, "*.*"))
	if err != nil {
		return err
	}
	for _, name := range old {
		if filepath.Base(name) == ".gitkeep" {
			continue
		}
		if err := os.Remove(name); err != nil {
			return err
		}
	}
	return nil
}

// compile is the WebAssembly module, without symbols.
func compile() ([]byte, error) {
	dir, err := os.MkdirTemp("", "engine")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	out := filepath.Join(dir, "engine.wasm")
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags=-s -w", "-buildvcs=false", "-o", out, "reedlark/cmd/engine")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	cmd.Stderr = os.Stderr
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("go build: %w", err)
	}
	return os.ReadFile(out)
}

// pack is gzip at its best, with no name and no time in it.
func pack(module []byte) ([]byte, error) {
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(module); err != nil {
		return nil, err
	}
	err = w.Close()
	return out.Bytes(), err
}

// copyLoader copies Go's own loader of WebAssembly, which has to be of the same
// version as the compiler; its licence is in its head.
func copyLoader() error {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return fmt.Errorf("go env GOROOT: %w", err)
	}
	text, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(folder, "wasm_exec.js"), text, 0o644)
}
