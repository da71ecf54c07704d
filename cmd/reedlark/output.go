package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"syscall"
)

// writeTo writes to a file, or to standard output for a dash.
func (c *console) writeTo(name string, fill func(io.Writer) error) error {
	if name == dash {
		return fill(c.stdout)
	}
	return writeFile(name, fill)
}

// interrupted says of a failure that it came of Ctrl-C, where it did.
func interrupted(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil {
		return errors.New("interrupted, not written")
	}
	return err
}

// writeFile makes a file whole or not at all: what fill writes goes into a
// file beside it, which takes its name only when everything is on the disk. On
// any failure, a panic too, what was there before is there still.
func writeFile(name string, fill func(io.Writer) error) error {
	target, mode, err := resolve(name)
	if err != nil {
		return plain(err)
	}
	if !mode.IsRegular() {
		return writeThrough(target, fill)
	}
	f, err := createBeside(target)
	if err != nil {
		return plain(err)
	}
	done := false
	defer func() {
		if !done {
			_ = f.Close()
			_ = os.Remove(f.Name())
		}
	}()
	if err := complete(f, mode, fill); err != nil {
		return plain(err)
	}
	err = os.Rename(f.Name(), target)
	done = err == nil
	return plain(err)
}

// resolve follows links to where a file is or will be. A file that is not there
// yet has mode 0.
func resolve(name string) (string, fs.FileMode, error) {
	target, err := filepath.EvalSymlinks(name)
	if errors.Is(err, fs.ErrNotExist) {
		return name, 0, nil
	}
	if err != nil {
		return "", 0, err
	}
	info, err := os.Stat(target)
	if err != nil {
		return "", 0, err
	}
	return target, info.Mode(), nil
}

// createBeside makes a new file in the folder of target, so that a rename
// brings it there.
func createBeside(target string) (*os.File, error) {
	for n := 0; ; n++ {
		name := filepath.Join(filepath.Dir(target), fmt.Sprintf(".reedlark-%d-%d.part", os.Getpid(), n))
		f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}

// partName is the name of a file that is being made, by the number of the
// process.
var partName = regexp.MustCompile(`^\.reedlark-(\d+)-\w+\.part$`)

// sweep clears away what processes that were killed left in a folder. What
// cannot be cleared away does no harm.
func sweep(folder string) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	for _, e := range entries {
		found := partName.FindStringSubmatch(e.Name())
		if found != nil && !alive(found[1]) {
			_ = os.Remove(filepath.Join(folder, e.Name()))
		}
	}
}

// sweepBeside sweeps the folder that a file is to be made in.
func sweepBeside(name string) {
	if name != dash {
		sweep(filepath.Dir(name))
	}
}

// alive says that another process has this number.
func alive(number string) bool {
	pid, err := strconv.Atoi(number)
	if err != nil || pid == os.Getpid() {
		return false
	}
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	err = p.Signal(syscall.Signal(0))
	return err == nil || errors.Is(err, fs.ErrPermission)
}

// complete fills a file, gives it the mode of the one it replaces, and sees it
// to the disk.
func complete(f *os.File, mode fs.FileMode, fill func(io.Writer) error) error {
	if err := buffered(f, fill); err != nil {
		return err
	}
	if mode != 0 {
		if err := f.Chmod(mode.Perm()); err != nil {
			return err
		}
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return f.Close()
}

// writeThrough writes into what is no ordinary file, a pipe or a device.
func writeThrough(target string, fill func(io.Writer) error) error {
	f, err := os.OpenFile(target, os.O_WRONLY, 0)
	if err != nil {
		return plain(err)
	}
	return plain(errors.Join(buffered(f, fill), f.Close()))
}

// buffered collects small writes; sound comes in large ones, which pass by.
func buffered(w io.Writer, fill func(io.Writer) error) error {
	b := bufio.NewWriterSize(w, 1<<12)
	if err := fill(b); err != nil {
		return err
	}
	return b.Flush()
}
