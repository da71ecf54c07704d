package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/diag"
)

// golden compares what a call prints with testdata/name.golden; -update writes
// it anew.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".golden")
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

func TestGoldens(t *testing.T) {
	cases := []struct{ name, args, stdin string }{
		{"unknown-word", "check -", "Harp: C\n4 -4 Q 5\n"},
		{"several", "check -", "4 -4 11 44\r\nwords\r\n４　－４　Q　{5\r\n"},
		{"warning", "check -", "9 to 5\n4 -4 5\n"},
		{"render-refuses", "render - -o -", "4 -4 Q 5\n"},
		{"nothing-to-play", "check -", "la la la\n"},
		{"call-number", "render - --tempo 0x10", good},
		{"call-word", "score - --brackets loud", good},
		{"call-flag", "render - --temp 90", good},
		{"call-harp", "harp H", ""},
		{"harp-c", "harp C", ""},
		{"harp-solo", "harp low-F --layout solo --tuning just", ""},
		{"find", "find C4 D4 F#4 --key G", ""},
		{"find-low", "find C4 C7 C8", ""},
		{"find-wrong", "find C4 X D4", ""},
		{"help", "--help", ""},
		{"help-harp", "harp --help", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := call(t, c.stdin, strings.Fields(c.args)...)
			golden(t, c.name, "$ reedlark "+c.args+"\n"+got.out+got.err)
		})
	}
}

// The mark stands under the place, whatever came before it on the line.
func TestMarkUnderThePlace(t *testing.T) {
	long := strings.Repeat("4 ", 500)
	cases := []struct {
		name, line     string
		column, length int
		shown, mark    string
	}{
		{"plain", "4 -4 Q 5", 6, 1, "4 -4 Q 5", "     ^"},
		{"first", "Q 5", 1, 1, "Q 5", "^"},
		{"longer", "4 wibble -6", 3, 6, "4 wibble -6", "  ^~~~~~"},
		{"tab", "4\t-4\tQ", 6, 1, "4 -4 Q", "     ^"},
		{"accent", "é 4 Q", 5, 1, "é 4 Q", "    ^"},
		{"full width takes two", "４　Q", 3, 1, "４　Q", "    ^"},
		{"a mark of two cells", "4 ５", 3, 1, "4 ５", "  ^~"},
		{"joined mark takes none", "e\u0301 Q", 4, 1, "e\u0301 Q", "  ^"},
		{"byte order mark", "\ufeff4 Q", 4, 1, "4 Q", "  ^"},
		{"past the end", "4 5", 4, 0, "4 5", "   ^"},
		{"escape sequence", "4 \x1b[2J", 3, 1, "4 \ufffd[2J", "  ^"},
		{"turned round", "4 \u202eQ", 4, 1, "4 Q", "  ^"},
		{"long line", long + "Q " + long, 1001, 1, "…" + long[:50] + "Q " + long[:48] + "…", strings.Repeat(" ", 51) + "^"},
		{"longer than the line", "4 5", 3, 99, "4 5", "  ^"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var b bytes.Buffer
			printDiagnostics(&b, page{name: "p", text: "one\n" + c.line + "\nthree"}, []diag.Diagnostic{{
				Severity: "error", Place: diag.Place{Line: 2, Column: c.column, Length: c.length}, Message: "What.", Hint: "so",
			}})
			lines := strings.Split(b.String(), "\n")
			require.Len(t, lines, 5)
			assert.Equal(t, "    "+c.shown, lines[1])
			assert.Equal(t, "    "+c.mark, lines[2])
			assert.Equal(t, "    hint: so", lines[3])
		})
	}
}
