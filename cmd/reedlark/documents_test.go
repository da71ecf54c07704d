package main

import (
	"context"
	"errors"
	"go/ast"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// examples are the indented lines of a document that begin with a command.
func examples(t *testing.T, document string) (out []string) {
	t.Helper()
	for _, line := range strings.Split(text(t, filepath.Join(root, document)), "\n") {
		command, is := strings.CutPrefix(line, "    ")
		if is && regexp.MustCompile(`^(\./reedlark|go|printf|cp|mkdir|\.ci/run)\b`).MatchString(command) {
			out = append(out, command)
		}
	}
	require.NotEmpty(t, out)
	return out
}

// Every command in the README runs, one after the other, in a folder that has the
// demo pages; one over a folder with mistaken pages in it may end with 1.
func TestReadmeRuns(t *testing.T) {
	top, err := filepath.Abs(root)
	require.NoError(t, err)
	commands := examples(t, "README.md")
	t.Chdir(t.TempDir())
	require.NoError(t, os.Symlink(filepath.Join(top, "testdata"), "testdata"))
	ctx, stop := context.WithTimeout(t.Context(), processTime)
	defer stop()
	for _, command := range commands {
		dir, line := "", command
		if rest, is := strings.CutPrefix(command, "go build "); is {
			here, err := os.Getwd()
			require.NoError(t, err)
			dir, line = top, "go build -o '"+here+"' "+rest
		}
		cmd := exec.CommandContext(ctx, "sh", "-eu", "-c", line)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		var exit *exec.ExitError
		if errors.As(err, &exit) && exit.ExitCode() == 1 && strings.Contains(line, " old ") {
			err = nil
		}
		require.NoError(t, err, "%s\n%s", line, out)
		if strings.Contains(line, "song.txt") { // the recording that you have
			require.Zero(t, call(t, "", "render", "testdata/tabs/twinkle.txt", "-o", "band.wav").code)
		}
	}
	for _, made := range []string{"tune.wav", "mine.svg", "slow.wav", "both.wav", "mine.zip", "buns.txt", "sounds/twinkle-G-70percent.wav"} {
		assert.FileExists(t, made)
	}
}

// The commands for contributors name packages and tests that there are.
func TestDevelopersCommands(t *testing.T) {
	for _, command := range examples(t, "DEVELOPERS.md") {
		command, _, _ = strings.Cut(command, " #")
		words := strings.Fields(command)
		for i, word := range words {
			switch {
			case strings.HasPrefix(word, "./"):
				cmd := exec.Command("go", "list", word)
				cmd.Dir = root
				out, err := cmd.CombinedOutput()
				assert.NoError(t, err, "%s: %s", command, out)
			case word == "-fuzz":
				found := false
				sources(t, func(_ string, text []byte, _ *ast.File, _ *token.FileSet) {
					found = found || strings.Contains(string(text), "func "+words[i+1]+"(f *testing.F)")
				})
				assert.True(t, found, command)
			case word == ".ci/run":
				assert.FileExists(t, filepath.Join(root, word))
			}
		}
	}
}

// What the documents point to is there: files in links and in code, from the top
// or from the folder of the document.
func TestDocumentsPointToWhatIsThere(t *testing.T) {
	named := regexp.MustCompile("`([-\\w./]+)`|\\]\\(([-\\w./]+)\\)|src(?:set)?=\"([-\\w./]+)\"")
	path := regexp.MustCompile(`[a-z]{2}/$|\.(go|md|golden|yaml|conf|txt|sh|mod|png|js)$`)
	for document, most := range map[string]int{"README.md": 120, "DEVELOPERS.md": 160, "cmd/reedlark/deploy/README.md": 600, "testdata/bench/README.md": 600} {
		content := text(t, filepath.Join(root, document))
		assert.LessOrEqual(t, strings.Count(content, "\n"), most, "lines of %s", document)
		for _, found := range named.FindAllStringSubmatch(content, -1) {
			name := found[1] + found[2] + found[3]
			if found[1] != "" && (!path.MatchString(name) || strings.HasPrefix(name, "/")) {
				continue
			}
			_, fromTop := os.Stat(filepath.Join(root, name))
			_, fromHere := os.Stat(filepath.Join(root, filepath.Dir(document), name))
			_, amongCommands := os.Stat(filepath.Join(root, "cmd/reedlark", name))
			assert.True(t, fromTop == nil || fromHere == nil || amongCommands == nil, "%s names %s", document, name)
		}
	}
}
