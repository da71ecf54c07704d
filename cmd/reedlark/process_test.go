package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
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
	said := interrupt(t, 0, "render", "tune.txt", "--depth", "24", "--channels", "2")
	assert.Contains(t, said, "tune.wav: interrupted, not written")
	assert.Equal(t, []string{"tune.txt"}, names(t, "."))
}

// Ctrl-C in the middle of a set keeps the sounds that are made, under another name
// than that of a whole set.
func TestInterruptedSet(t *testing.T) { // a sound of it is 35 MB
	said := interrupt(t, 40<<20, "practice", "tune.txt", "--tempo", "100%", "--rate", "22050")
	require.Equal(t, []string{"tune.partial.zip", "tune.txt"}, names(t, "."))
	files := inZip(t, text(t, "tune.partial.zip"))
	made := len(files) - 2
	require.Greater(t, made, 0)
	require.Less(t, made, 12)
	assert.Contains(t, said, fmt.Sprintf("interrupted: tune.partial.zip has the first %d sound", made))
	page := files["index.html"]
	assert.Equal(t, made, strings.Count(page, "<audio"))
	assert.Contains(t, page, fmt.Sprintf("interrupted: %d of its sounds are missing", 12-made))
	for name, file := range files {
		if strings.HasSuffix(name, ".wav") {
			assert.Equal(t, int(binary.LittleEndian.Uint32([]byte(file[4:])))+8, len(file), name)
		}
	}
}

// interrupt calls the program, stops it once it has begun to write and written so
// many bytes, and gives what it said.
func interrupt(t *testing.T, least int64, args ...string) string {
	t.Helper()
	folder(t, map[string]string{"tune.txt": lengthy})
	cmd, said := program(t, args...)
	require.NoError(t, cmd.Start())
	require.Eventually(t, func() bool {
		parts, err := filepath.Glob(".reedlark-*.part")
		if err != nil || len(parts) != 1 {
			return false
		}
		info, err := os.Stat(parts[0])
		return err == nil && info.Size() >= least
	}, processTime, time.Millisecond)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	require.Error(t, cmd.Wait(), said.String())
	assert.Equal(t, 3, cmd.ProcessState.ExitCode())
	return said.String()
}

// The first signal ends a command that waits for the other end of a named pipe,
// to read from it or to write to it, or for somebody to read its output.
func TestSignalEndsTheWaitForAPipe(t *testing.T) {
	folder(t, map[string]string{"tune.txt": lengthy})
	require.NoError(t, syscall.Mkfifo("pipe", 0o600))
	for _, args := range []string{
		"render pipe", "check pipe", "score pipe", "rewrite pipe --in-place", "practice pipe -o set.zip",
		"render tune.txt -o pipe", "score tune.txt --midi pipe", "check tune.txt --sarif pipe", "render tune.txt -o -",
	} {
		cmd, said := program(t, strings.Fields(args)...)
		stdout, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		time.Sleep(300 * time.Millisecond)
		begun := time.Now()
		require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
		ended := make(chan error, 1)
		go func() { ended <- cmd.Wait() }()
		select {
		case err := <-ended:
			require.Error(t, err)
		case <-time.After(processTime / 4):
			require.NoError(t, cmd.Process.Kill())
			require.Fail(t, "still waiting", "%s, after %v", args, time.Since(begun))
		}
		assert.Equal(t, 3, cmd.ProcessState.ExitCode(), args)
		assert.Contains(t, said.String(), "interrupted", args)
		_ = stdout.Close()
	}
	assert.Equal(t, []string{"pipe", "tune.txt"}, names(t, "."))
}

// A standard output that is closed loses the sound, and that is no success. What
// a shell opens for writing is another thing.
func TestClosedOutput(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good})
	self, err := os.Executable()
	require.NoError(t, err)
	shell := func(line string) (int, string) {
		cmd := exec.Command("sh", "-c", strings.ReplaceAll(line, "reedlark", `"`+self+`"`))
		cmd.Env = append(os.Environ(), asProgram+"=1")
		out, _ := cmd.CombinedOutput() // the exit code says it
		return cmd.ProcessState.ExitCode(), string(out)
	}
	for _, line := range []string{
		"reedlark render tune.txt -o - >&-", "reedlark practice tune.txt -o - >&-", "reedlark score tune.txt --midi - >&-",
		"reedlark rewrite tune.txt -o - >&-", "reedlark check tune.txt --sarif - >&-", "reedlark render tune.txt -o tune.wav --picture - >&-",
	} {
		code, said := shell(line)
		assert.Equal(t, 3, code, line)
		assert.Contains(t, said, "standard output is closed", line)
	}
	for _, line := range []string{"reedlark render tune.txt -o - >/dev/null", "reedlark check tune.txt >&-", "reedlark render tune.txt >&-"} {
		code, said := shell(line)
		assert.Equal(t, 0, code, "%s: %s", line, said)
	}
}
