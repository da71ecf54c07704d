package batch

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func list(t *testing.T, folder string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// A part is another process's as long as it is locked, whatever its name says: in
// two containers every process may have the same number.
func TestSweepLeavesWhatIsLocked(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{".reedlark-1-0.part", ".reedlark-old.part", "mine.part", ".reedlark-made"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), nil, 0o644))
	}
	alive, err := createPart(folder)
	require.NoError(t, err)
	Sweep(folder)
	assert.ElementsMatch(t, []string{filepath.Base(alive.Name()), ".reedlark-made", "mine.part"}, list(t, folder))
	require.NoError(t, alive.Close())
	Sweep(folder)
	assert.ElementsMatch(t, []string{".reedlark-made", "mine.part"}, list(t, folder))
}

// While one process writes many files, others sweep the same folder without end:
// no file is lost.
func TestSweepingWhileWriting(t *testing.T) {
	folder := t.TempDir()
	stop, swept := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(swept)
		for {
			select {
			case <-stop:
				return
			default:
				Sweep(folder)
			}
		}
	}()
	for range 300 {
		require.NoError(t, WriteFile(t.Context(), filepath.Join(folder, "out"), Exactly([]byte("whole"))))
	}
	close(stop)
	<-swept
	assert.Equal(t, []string{"out"}, list(t, folder))
}

func TestOwnFilesAreNoLinks(t *testing.T) {
	folder := t.TempDir()
	target := filepath.Join(folder, "target")
	for name, link := range map[string]string{"a": target, "b": filepath.Join(folder, "nowhere")} {
		require.NoError(t, os.Symlink(link, filepath.Join(folder, name)))
		_, err := openOwn(filepath.Join(folder, name), os.O_CREATE|os.O_WRONLY)
		require.ErrorContains(t, err, "link")
	}
	assert.Equal(t, []string{"a", "b"}, list(t, folder), "nothing is made through a link")
}
