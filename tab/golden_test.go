package tab_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/tab"
)

var update = flag.Bool("update", false, "rewrite the goldens")

// A golden is a page, a line of equals signs, and what was read.
const divider = "\n====\n"

func TestGoldens(t *testing.T) {
	files, err := filepath.Glob("testdata/*.golden")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".golden"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			page, want, found := strings.Cut(string(text), divider)
			require.True(t, found || *update, "no divider")
			got := dump(tab.Parse(page, tab.Options{}))
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(page+divider+got), 0o644))
				return
			}
			require.Equal(t, want, got)
		})
	}
}
