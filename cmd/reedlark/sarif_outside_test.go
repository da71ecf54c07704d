//go:build outside

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
)

// validator is an npm package under the MIT licence that brings the published
// JSON schema of SARIF 2.1.0 with it.
const validator = "@microsoft/sarif-multitool-linux@5.7.0"

// What is written is valid by the format's own schema, and the check would see
// it if it were not.
func TestSarifAgainstItsSchema(t *testing.T) {
	from := t.TempDir()
	out, err := exec.Command("npm", "install", "--ignore-scripts", "--no-save", "--prefix", from, validator).CombinedOutput()
	require.NoError(t, err, "%s", out)
	name, _, _ := strings.Cut(validator[1:], "@")
	schema, err := jsonschema.NewCompiler().Compile(filepath.Join(from, "node_modules", "@"+name, "sarif-2.1.0.json"))
	require.NoError(t, err)

	valid := func(text string) error {
		document, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		require.NoError(t, err)
		return schema.Validate(document)
	}
	pages, err := filepath.Abs(tabs)
	require.NoError(t, err)
	lessons(t)
	whole := call(t, "", "check", "lessons", pages, "--sarif", "-").out
	require.Greater(t, strings.Count(whole, `"ruleId"`), 20)
	require.NoError(t, valid(whole))
	require.NoError(t, valid(call(t, good, "check", "-", "--sarif", "-").out))
	require.Error(t, valid(strings.Replace(whole, `"level":"error"`, `"level":"fatal"`, 1)))
	require.Error(t, valid(strings.Replace(whole, `"startLine":1`, `"startLine":0`, 1)))
	require.Error(t, valid(strings.Replace(whole, `"runs":`, `"run":`, 1)))

	require.Equal(t, 1, call(t, "", "check", "lessons/deep/er", "--sarif", "out.sarif").code)
	text, err := os.ReadFile("out.sarif")
	require.NoError(t, err)
	require.NoError(t, valid(string(text)))
}
