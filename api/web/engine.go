package web

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

//go:generate go run ./build

// The engine, where it was built; else an empty folder.
//
//go:embed all:engine
var engine embed.FS

// Engine describes the built engine: package api for the browser, as cmd/engine
// makes it.
type Engine struct {
	Version  string `json:"version"`  // api.EngineVersion of the build
	Source   string `json:"source"`   // EngineSource of the build
	File     string `json:"file"`     // the module, gzipped
	Bytes    int    `json:"bytes"`    // of File
	Unpacked int    `json:"unpacked"` // bytes of the module
}

// BuildCommand is what builds a missing engine.
const BuildCommand = "go generate ./api/web"

// BuiltEngine describes the engine in this program; ok is false where it has
// none, or one that does not make the sound of this version.
func BuiltEngine(version string) (e Engine, ok bool) {
	e, ok = anyEngine()
	return e, ok && e.Version == version
}

// anyEngine describes the engine in this program, whatever its version.
func anyEngine() (e Engine, ok bool) {
	text, err := engine.ReadFile("engine/engine.json")
	if err != nil || json.Unmarshal(text, &e) != nil {
		return Engine{}, false
	}
	_, err = fs.Stat(engine, "engine/"+e.File)
	return e, err == nil
}

// EngineFiles are the engine's files by their names; none where it was not built.
func EngineFiles() fs.FS {
	sub, err := fs.Sub(engine, "engine")
	if err != nil {
		panic(err) // the folder is embedded above
	}
	return sub
}

// EngineSource is a hash over every source file of the module that the engine is
// built from, and over the versions of what is not of this module. root is the
// module's folder. It runs the go command.
func EngineSource(root string) (string, error) {
	cmd := exec.Command("go", "list", "-deps", "-f",
		`{{if .Module}}{{if .Module.Main}}{{range .GoFiles}}{{$.Dir}}/{{.}}{{"\n"}}{{end}}{{range .EmbedFiles}}{{$.Dir}}/{{.}}{{"\n"}}{{end}}{{end}}{{end}}`,
		"reedlark/cmd/engine")
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	list, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("go list: %w", err)
	}
	sum := sha256.New()
	top, err := filepath.Abs(root)
	if err != nil {
		return "", err
	}
	files := append(lines(list), filepath.Join(top, "go.mod"))
	slices.Sort(files)
	for _, name := range files {
		if err := hashFile(sum, top, name); err != nil {
			return "", err
		}
	}
	return hex.EncodeToString(sum.Sum(nil)[:16]), nil
}

func lines(text []byte) []string {
	var out []string
	for s := bufio.NewScanner(bytes.NewReader(text)); s.Scan(); {
		if line := strings.TrimSpace(s.Text()); line != "" {
			out = append(out, line)
		}
	}
	return out
}

// hashFile adds a file's name within the module, its length and its bytes.
func hashFile(sum io.Writer, top, name string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	short, err := filepath.Rel(top, name)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(sum, "%s %d\n%s", filepath.ToSlash(short), len(text), text)
	return err
}
