package main

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// root is the top of the module, seen from this package.
const root = "../.."

// mayImport is the plan: which of our packages each package
// may import, itself and its tests apart. A package that is not here fails, and
// so does one that is here and gone.
var mayImport = map[string][]string{
	"tab/diag":                     {},
	"tab/beat":                     {},
	"tab/lexicon":                  {},
	"tab/tree":                     {"tab/beat", "tab/chord", "tab/diag"},
	"tab/scan":                     {"tab/beat", "tab/diag", "tab/lexicon", "tab/tree"},
	"tab/notes":                    {"tab/diag", "tab/scan", "tab/tree"},
	"tab/unfold":                   {"tab/beat", "tab/chord", "tab/diag", "tab/notes", "tab/scan", "tab/spacing", "tab/tree"},
	"tab":                          {"tab/diag", "tab/lexicon", "tab/notes", "tab/scan", "tab/tree", "tab/unfold"},
	"tab/harp":                     {},
	"tab/score":                    {"tab/beat"},
	"tab/chord":                    {},
	"tab/melody":                   {"tab/beat"},
	"tab/quantise":                 {"tab/beat"},
	"tab/spacing":                  {"tab/beat"},
	"tab/rhythm":                   {"tab", "tab/beat", "tab/diag", "tab/spacing"},
	"tab/arrange":                  {"tab", "tab/beat", "tab/chord", "tab/diag", "tab/harp", "tab/melody"},
	"tab/band":                     {"tab/beat", "tab/chord"},
	"tab/perform":                  {"tab", "tab/band", "tab/beat", "tab/diag", "tab/harp", "tab/score"},
	"synth/dsp":                    {},
	"synth/reed/spectrum":          {"synth/dsp"},
	"synth/reed/spectrum/recorded": {},
	"synth/reed/spectrum/fit":      {"synth/reed/spectrum", "synth/reed/spectrum/recorded"},
	"synth/reed":                   {"synth/dsp", "synth/reed/spectrum"},
	"synth/band":                   {"synth/dsp", "synth/reed"},
	"synth/room":                   {"synth/dsp"},
	"synth/loud":                   {"synth/dsp", "synth/reed", "synth/room"},
	"synth":                        {"synth/band", "synth/dsp", "synth/loud", "synth/reed", "synth/reed/spectrum", "synth/room", "tab/score"},
	"synth/wav":                    {},
	"synth/flac":                   {"synth/wav"},
	"synth/recording":              {},
	"synth/resample":               {"synth/dsp"},
	"synth/over":                   {"synth/dsp", "synth/loud", "synth/recording", "synth/resample", "synth/wav"},
	"synth/measure":                {},
	"synth/measure/sheet":          {"api", "synth/measure"},
	"openapi":                      {"tab/diag"},
	"api/format/abc":               {"tab/beat", "tab/melody"},
	"api/format/picture":           {"tab/beat", "tab/score"},
	"api/format/midi":              {"tab/beat", "tab/melody", "tab/quantise", "tab/score"},
	"api/format/musicxml":          {"tab", "tab/beat", "tab/chord", "tab/harp", "tab/melody"},
	"api": {
		"api/format/abc", "api/format/midi", "api/format/musicxml", "api/format/picture", "openapi", "synth", "synth/dsp", "synth/flac", "synth/over", "synth/recording", "synth/reed", "synth/wav",
		"tab", "tab/arrange", "tab/band", "tab/beat", "tab/chord", "tab/diag", "tab/harp", "tab/melody", "tab/perform", "tab/quantise", "tab/rhythm", "tab/score",
	},
	"api/web":               {"api"},
	"api/web/build":         {"api", "api/web"},
	"cmd/engine":            {"api"},
	"api/server":            {"api", "api/server/admit", "api/server/httpx", "api/web", "openapi", "tab/diag"},
	"api/server/admit":      {},
	"api/server/httpx":      {},
	"api/server/observe":    {"api/server"},
	"cmd/reedlark/batch":    {"api"},
	"cmd/reedlark/practice": {"cmd/reedlark/batch"},
	"cmd/reedlark/textfile": {},
	"cmd/reedlark":          {"api", "api/server", "api/server/observe", "cmd/reedlark/batch", "cmd/reedlark/practice", "cmd/reedlark/textfile", "openapi", "tab/diag"},
}

// onlyIn keeps a library, or a part of Go's own, in the rooms that need it.
var onlyIn = map[string][]string{
	"github.com/labstack/echo/v4":         {"api/server"},
	"github.com/alecthomas/kong":          {"cmd/reedlark"},
	"syscall/js":                          {"cmd/engine"},
	"net/http":                            {"api/server", "api/server/httpx", "api/server/observe", "cmd/reedlark"},
	"github.com/go-audio/wav":             {},
	"github.com/go-audio/audio":           {},
	"github.com/mewkiz/flac":              {"synth/flac"},
	"gitlab.com/gomidi/midi/v2":           {"api/format/midi"},
	"github.com/getkin/kin-openapi":       {},
	"github.com/stretchr/testify":         {},
	"math/rand":                           {},
	"math/rand/v2":                        {},
	"github.com/maypok86/otter/v2":        {"api/server/admit"},
	"github.com/prometheus/client_golang": {"api/server/observe"},
	"go.opentelemetry.io/otel":            {"api/server/observe"},
	"google.golang.org/grpc":              {},
}

type goPackage struct {
	ImportPath string
	Imports    []string
}

// listed is what the go command says of every package, production code only. The
// engine is listed as the browser sees it too.
func listed(t *testing.T) []goPackage {
	t.Helper()
	return append(goList(t, "./..."), goList(t, "./cmd/engine", "GOOS=js", "GOARCH=wasm")...)
}

func goList(t *testing.T, pattern string, env ...string) []goPackage {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", pattern)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), env...)
	out, err := cmd.Output()
	require.NoError(t, err)
	var all []goPackage
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p goPackage
		err := d.Decode(&p)
		if err == io.EOF {
			return all
		}
		require.NoError(t, err)
		all = append(all, p)
	}
}

func ours(path string) (string, bool) { return strings.CutPrefix(path, "reedlark/") }

func TestImportsRunOneWay(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range listed(t) {
		name, _ := ours(p.ImportPath)
		allowed, known := mayImport[name]
		seen[name] = true
		assert.True(t, known, "package %s has no line in the plan", name)
		for _, imported := range p.Imports {
			if other, is := ours(imported); is {
				assert.Contains(t, allowed, other, "%s imports %s", name, other)
			}
		}
	}
	for name := range mayImport {
		assert.True(t, seen[name], "the plan has a line for %s, which is gone", name)
	}
}

func TestLibrariesStayInTheirRooms(t *testing.T) {
	for _, p := range listed(t) {
		name, _ := ours(p.ImportPath)
		for _, imported := range p.Imports {
			for library, rooms := range onlyIn {
				if imported == library || strings.HasPrefix(imported, library+"/") {
					assert.Contains(t, rooms, name, "%s imports %s", name, imported)
				}
			}
		}
	}
}

// sources calls do with every Go file of the module that people write.
func sources(t *testing.T, do func(name string, text []byte, f *ast.File, at *token.FileSet)) {
	t.Helper()
	count := 0
	walk(t, func(name string, text []byte) {
		if filepath.Ext(name) != ".go" {
			return
		}
		at := token.NewFileSet()
		f, err := parser.ParseFile(at, name, text, parser.ParseComments)
		require.NoError(t, err)
		if !ast.IsGenerated(f) {
			count++
			do(name, text, f, at)
		}
	})
	require.NotZero(t, count)
}

// walk calls do with every file of the checkout, named from its top, hidden
// folders but .ci left out.
func walk(t *testing.T, do func(name string, text []byte)) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		name, err := filepath.Rel(root, path)
		require.NoError(t, err)
		hidden := strings.HasPrefix(d.Name(), ".") && name != "." && name != ".ci"
		if d.IsDir() && (hidden || name == "out") {
			return filepath.SkipDir
		}
		if !d.Type().IsRegular() || name == ".git" || filepath.Ext(name) == ".wav" || name == "reedlark" {
			return nil
		}
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		do(filepath.ToSlash(name), text)
		return nil
	}))
}

func TestSizes(t *testing.T) {
	sources(t, func(name string, text []byte, f *ast.File, at *token.FileSet) {
		assert.LessOrEqual(t, strings.Count(string(text), "\n"), 600, "lines of %s", name)
		for _, d := range f.Decls {
			if fn, is := d.(*ast.FuncDecl); is {
				lines := at.Position(fn.End()).Line - at.Position(fn.Pos()).Line + 1
				assert.LessOrEqual(t, lines, 100, "lines of %s in %s", fn.Name.Name, name)
			}
		}
	})
}

// Every exported name says what it is, in the declaration or, for constants and
// variables, in the group; a constructor of nothing is no exception.
func TestExportedNamesAreDocumented(t *testing.T) {
	sources(t, func(name string, _ []byte, f *ast.File, _ *token.FileSet) {
		if strings.HasSuffix(name, "_test.go") {
			return
		}
		for _, d := range f.Decls {
			for _, missing := range undocumented(d) {
				assert.Fail(t, "no comment", "%s in %s", missing, name)
			}
		}
	})
}

func undocumented(d ast.Decl) []string {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Name.IsExported() && d.Doc == nil && !hiddenReceiver(d) && !wellKnown(d.Name.Name) {
			return []string{d.Name.Name}
		}
	case *ast.GenDecl:
		if d.Doc == nil {
			return bareSpecs(d.Specs)
		}
	}
	return nil
}

// wellKnown is a method whose meaning the language fixes.
func wellKnown(method string) bool {
	return slices.Contains([]string{"Error", "String", "Unwrap", "Len", "Less", "Swap"}, method)
}

func hiddenReceiver(d *ast.FuncDecl) bool {
	if d.Recv == nil {
		return false
	}
	receiver := d.Recv.List[0].Type
	if star, is := receiver.(*ast.StarExpr); is {
		receiver = star.X
	}
	id, is := receiver.(*ast.Ident)
	return is && !id.IsExported()
}

func bareSpecs(specs []ast.Spec) (out []string) {
	for _, s := range specs {
		switch s := s.(type) {
		case *ast.TypeSpec:
			if s.Name.IsExported() && s.Doc == nil {
				out = append(out, s.Name.Name)
			}
		case *ast.ValueSpec:
			for _, n := range s.Names {
				if n.IsExported() && s.Doc == nil && s.Comment == nil {
					out = append(out, n.Name)
				}
			}
		}
	}
	return out
}

// Every package teaches its idea in one comment of at most 25 lines.
func TestEveryPackageHasOneComment(t *testing.T) {
	comments := map[string]int{}
	sources(t, func(name string, _ []byte, f *ast.File, _ *token.FileSet) {
		dir := filepath.Dir(name)
		if strings.HasSuffix(name, "_test.go") {
			return
		}
		if f.Doc == nil {
			comments[dir] += 0
			return
		}
		comments[dir]++
		lines := strings.Count(strings.TrimSpace(f.Doc.Text()), "\n") + 1
		assert.LessOrEqual(t, lines, 25, "lines of the package comment in %s", name)
	})
	for dir, n := range comments {
		assert.Equal(t, 1, n, "package comments in %s", dir)
	}
}

// What only one machine knows has no place in the tree: a folder of somebody's
// home, or the host a package manager happens to ask.
func TestNothingOfOneMachine(t *testing.T) {
	folders := regexp.MustCompile(`(^|[\s"'=(:` + "`" + `])/(` + strings.Join([]string{"home", "root", "work", "tmp", "Users"}, "|") + `)(/|\b)`)
	hosts := []string{"proxy.golang" + ".org", "registry.npmjs" + ".org", "deb.debian" + ".org"}
	walk(t, func(name string, text []byte) {
		for i, line := range strings.Split(string(text), "\n") {
			assert.NotRegexp(t, folders, line, "%s:%d", name, i+1)
			for _, h := range hosts {
				assert.NotContains(t, line, h, "%s:%d", name, i+1)
			}
		}
	})
}
