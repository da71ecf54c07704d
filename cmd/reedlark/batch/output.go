package batch

import (
	"bufio"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
)

// WriteFile makes a file whole or not at all: what fill writes goes into a file
// beside it, which takes its name only when everything is on the disk. On any
// failure, a panic too, what was there before is still there. Pipes and devices
// are written to and never replaced; ctx ends the wait for a pipe's reader.
func WriteFile(ctx context.Context, name string, fill func(io.Writer) error) error {
	return WriteSome(ctx, name, name, func(w io.Writer) (bool, error) { return true, fill(w) })
}

// WriteSome is WriteFile for what may end early and still be of use: where fill
// says that the file is not whole, it gets the name partial, and the file of the
// first name stays as it was.
func WriteSome(ctx context.Context, name, partial string, fill func(io.Writer) (whole bool, err error)) error {
	if IsDevice(name) || IsDevice(partial) {
		return Usagef("this is the name of a device on Windows; choose another name for the output")
	}
	target, mode, err := resolve(name)
	if err != nil {
		return Plain(err)
	}
	write := func(w io.Writer) error {
		whole, err := fill(w)
		if !whole {
			target = partial
		}
		return err
	}
	if !mode.IsRegular() {
		return writeThrough(ctx, target, write)
	}
	f, err := createPart(filepath.Dir(target))
	if err != nil {
		return Plain(err)
	}
	renamed := false
	defer func() {
		if !renamed {
			_ = settle(f, func() error { return os.Remove(f.Name()) })
		}
	}()
	if err := complete(f, mode, write); err != nil {
		return Plain(err)
	}
	renamed = true
	return Plain(settle(f, func() error { return os.Rename(f.Name(), target) }))
}

// devices are the names that Windows keeps for devices, whatever their extension.
// ref: Microsoft, "Naming Files, Paths, and Namespaces".
var devices = regexp.MustCompile(`(?i)^(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³])\s*(\.|$)`)

// IsDevice reports whether Windows would take the last part of a name for a device.
func IsDevice(name string) bool { return devices.MatchString(filepath.Base(name)) }

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

// complete fills a file, gives it the mode of the one it replaces, and flushes it
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
	return f.Sync()
}

// writeThrough writes to a pipe or a device.
func writeThrough(ctx context.Context, target string, fill func(io.Writer) error) error {
	_, err := Await(ctx, func() (struct{}, error) {
		f, err := os.OpenFile(target, os.O_WRONLY, 0)
		if err != nil {
			return struct{}{}, err
		}
		return struct{}{}, errors.Join(buffered(f, fill), f.Close())
	})
	return Plain(err)
}

// buffered collects small writes; sound comes in large ones, which pass through.
func buffered(w io.Writer, fill func(io.Writer) error) error {
	b := bufio.NewWriterSize(w, 1<<12)
	if err := fill(b); err != nil {
		return err
	}
	return b.Flush()
}

// Exactly is a fill for WriteFile that writes these bytes.
func Exactly(text []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	}
}
