package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asProgram makes the test binary be the program.
const asProgram = "REEDLARK_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	os.Exit(m.Run())
}

// processTime is more than the slowest machine needs: a process that is still there
// after it hangs, and is killed.
const processTime = 3 * time.Minute

// program is a call of the program as a process of its own.
func program(t *testing.T, args ...string) (*exec.Cmd, *bytes.Buffer) {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	ctx, stop := context.WithTimeout(t.Context(), processTime)
	t.Cleanup(stop)
	cmd := exec.CommandContext(ctx, self, args...)
	cmd.Env = append(os.Environ(), asProgram+"=1")
	var said bytes.Buffer
	cmd.Stderr = &said
	return cmd, &said
}

// lengthy is a page of about 13 minutes.
var lengthy = strings.Repeat("4 -4 5 -5 6 -6 -7 7\n", 160)

func TestClosedPipe(t *testing.T) {
	folder(t, map[string]string{"tune.txt": lengthy})
	cmd, said := program(t, "render", "tune.txt", "-o", "-")
	pipe, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	_, err = io.ReadFull(pipe, make([]byte, 1000))
	require.NoError(t, err)
	require.NoError(t, pipe.Close())
	require.Error(t, cmd.Wait())
	assert.Equal(t, 3, cmd.ProcessState.ExitCode())
	assert.Contains(t, said.String(), "broken pipe")
}

// Ctrl-C in the middle leaves nothing behind.
func TestInterruptedProcess(t *testing.T) {
	for want, args := range map[string]string{
		"tune.wav: interrupted, not written": "render tune.txt --depth 24 --channels 2",
		"tune.zip: interrupted, not written": "practice tune.txt --tempo 100%",
	} {
		t.Run(args, func(t *testing.T) { interrupt(t, want, strings.Fields(args)...) })
	}
}

// interrupt calls the program, and stops it once it has begun to write.
func interrupt(t *testing.T, want string, args ...string) {
	t.Helper()
	folder(t, map[string]string{"tune.txt": lengthy})
	cmd, said := program(t, args...)
	require.NoError(t, cmd.Start())
	require.Eventually(t, func() bool {
		parts, err := filepath.Glob(".reedlark-*.part")
		return err == nil && len(parts) == 1
	}, processTime, time.Millisecond)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	require.Error(t, cmd.Wait(), said.String())
	assert.Equal(t, 3, cmd.ProcessState.ExitCode())
	assert.Contains(t, said.String(), want)
	assert.Equal(t, []string{"tune.txt"}, names(t, "."))
}

func TestBar(t *testing.T) {
	var screen, file bytes.Buffer
	b := &bar{Writer: &file, screen: &screen, total: 200}
	for range 2 {
		n, err := b.Write(make([]byte, 100))
		require.NoError(t, err)
		require.Equal(t, 100, n)
	}
	assert.Equal(t, "\r["+strings.Repeat("=", 15)+strings.Repeat(" ", 15)+"]  50 %", screen.String(), "once in a while")
	assert.Equal(t, 200, file.Len())
	width := screen.Len() - 1
	screen.Reset()
	b.wipe()
	assert.Equal(t, "\r"+strings.Repeat(" ", width)+"\r", screen.String())
}
