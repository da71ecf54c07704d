package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The program shows the licence of every module that is linked into it, and so
// does the repository. What is linked is what the go command lists.
func TestLicences(t *testing.T) {
	got := call(t, "", "--licences")
	require.Zero(t, got.code, got.err)
	assert.Equal(t, got, call(t, "", "--licenses"))
	assert.Equal(t, text(t, filepath.Join(root, "NOTICE")), got.out)
	assert.Contains(t, got.out, text(t, filepath.Join(root, "LICENSE")))
	cmd := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}{{end}}{{end}}", "./cmd/reedlark")
	cmd.Dir, cmd.Stderr = root, os.Stderr
	out, err := cmd.Output()
	require.NoError(t, err)
	modules := strings.FieldsFunc(string(out), func(r rune) bool { return r == '\n' })
	require.NotEmpty(t, modules)
	for _, m := range modules {
		assert.Contains(t, got.out, "\n"+m+"\n")
	}
	assert.Contains(t, got.out, "\nThe Go standard library\n")
}
