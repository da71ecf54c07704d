package batch_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/cmd/reedlark/batch"
)

// sound makes a file that stands for a sound.
func sound(t *testing.T, folder string, n int) string {
	t.Helper()
	name := filepath.Join(folder, fmt.Sprintf("%02d.wav", n))
	require.NoError(t, os.WriteFile(name, []byte(strings.Repeat("x", n)), 0o644))
	return name
}

func open(t *testing.T, folder string) *batch.Ledger {
	t.Helper()
	l, err := batch.OpenLedger(folder)
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	return l
}

func TestLedger(t *testing.T) {
	folder := t.TempDir()
	l := open(t, folder)
	var all sync.WaitGroup
	for n := range 20 {
		name := sound(t, folder, n)
		all.Go(func() { assert.NoError(t, l.Add(name, fmt.Sprint(n))) })
	}
	all.Wait()
	again := open(t, folder) // while the first is open still
	for n := range 20 {
		name := filepath.Join(folder, fmt.Sprintf("%02d.wav", n))
		assert.True(t, again.Holds(name, fmt.Sprint(n)))
		assert.False(t, again.Holds(name, "other"), "something else is asked for")
	}
	first, second := filepath.Join(folder, "01.wav"), filepath.Join(folder, "02.wav")
	require.NoError(t, os.Chtimes(first, time.Time{}, time.Now().Add(time.Minute)))
	assert.False(t, again.Holds(first, "1"), "somebody changed it")
	require.NoError(t, os.Remove(second))
	assert.False(t, again.Holds(second, "2"))
	assert.False(t, again.Holds(filepath.Join(folder, "..", "03.wav"), "3"))
	require.Error(t, again.Add(second, "2"), "what is not there was not made")
}

// What is out of date or cut short goes when the ledger is opened, and nothing
// more does.
func TestLedgerMended(t *testing.T) {
	folder := t.TempDir()
	name := sound(t, folder, 5)
	for _, asked := range []string{"old", "new"} {
		l := open(t, folder)
		require.NoError(t, l.Add(name, asked))
	}
	file := filepath.Join(folder, batch.LedgerName)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, 2, strings.Count(string(text), "\n"))
	require.NoError(t, os.WriteFile(file, append(text, `{"sound":"05.wav","asked":"cut`...), 0o644))
	assert.True(t, open(t, folder).Holds(name, "new"))
	text, err = os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(text), "\n"))
	assert.Contains(t, string(text), `"asked":"new"`)
	found, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, found, 2, "nothing lies about")

	require.NoError(t, os.Remove(file))
	require.NoError(t, os.Mkdir(file, 0o755))
	_, err = batch.OpenLedger(folder)
	require.Error(t, err)
}

// Whatever stands in the file, the ledger opens, and believes nothing of a sound
// that is not there.
func FuzzLedger(f *testing.F) {
	for _, seed := range []string{"", "\n", "{}\n", `{"sound":"a.wav","asked":"x","bytes":1,"time":2}` + "\n", `{"sound":"`, "\x00\n{}\n[]\n", `{"bytes":"no"}` + "\n"} {
		f.Add([]byte(seed))
	}
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, text []byte) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, batch.LedgerName), text, 0o644))
		for range 2 {
			l, err := batch.OpenLedger(folder)
			require.NoError(t, err)
			assert.False(t, l.Holds(filepath.Join(folder, "a.wav"), "x"))
			require.NoError(t, l.Close())
		}
	})
}
