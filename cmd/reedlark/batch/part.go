package batch

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
)

// partName is the name of a file that is being written. Random names are never
// used twice, so a name that was listed cannot come to mean another file.
var partName = regexp.MustCompile(`^\.reedlark-[-\w]+\.part$`)

// createPart makes a new file in a folder, locked until it is settled, so that a
// rename brings it to its place.
func createPart(folder string) (*os.File, error) {
	for {
		name := filepath.Join(folder, fmt.Sprintf(".reedlark-%s.part", rand.Text()))
		f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
		if err != nil {
			return nil, err
		}
		// Another process may sweep the folder between the two calls.
		if err := lock(f); !errors.Is(err, errLocked) && isStill(f, name) {
			return f, nil // a file system without locks has no sweeping either
		}
		_ = f.Close() // of nothing
	}
}

// isStill reports whether a name still belongs to an open file.
func isStill(f *os.File, name string) bool {
	open, err1 := f.Stat()
	named, err2 := os.Lstat(name)
	return err1 == nil && err2 == nil && os.SameFile(open, named)
}

// settle closes a part after it was renamed or removed, where the system can do
// that to an open file, so that the lock covers both.
func settle(f *os.File, move func() error) error {
	if !movesOpenFiles {
		return errors.Join(f.Close(), move())
	}
	return errors.Join(move(), f.Close())
}

// Sweep removes the parts that killed processes left in a folder: those that no
// process has locked. What cannot be removed does no harm.
func Sweep(folder string) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	for _, e := range entries {
		if e.Type().IsRegular() && partName.MatchString(e.Name()) {
			removeDead(filepath.Join(folder, e.Name()))
		}
	}
}

func removeDead(part string) {
	f, err := os.OpenFile(part, os.O_WRONLY, 0)
	if err != nil {
		return
	}
	if lock(f) != nil || !isStill(f, part) {
		_ = f.Close() // nothing was written
		return
	}
	_ = settle(f, func() error { return os.Remove(part) })
}

// SweepBeside sweeps the folder that a file is to be made in.
func SweepBeside(name string) {
	if name != Dash {
		Sweep(filepath.Dir(name))
	}
}

// MakeFolder makes a folder and those above it, removes what killed runs left in
// it, and checks that files can be made there.
func MakeFolder(folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return fmt.Errorf("%s cannot be made: %w", folder, Plain(err))
	}
	Sweep(folder)
	probe, err := createPart(folder)
	if err == nil {
		err = settle(probe, func() error { return os.Remove(probe.Name()) })
	}
	if err != nil {
		return fmt.Errorf("cannot write in %s: %w", folder, Plain(err))
	}
	return nil
}

// openOwn opens a file of our own in a folder of the user's, made where it is not
// there. A link is refused: it would make us write somewhere else.
func openOwn(name string, flags int) (*os.File, error) {
	named, err := os.Lstat(name)
	if err == nil && !named.Mode().IsRegular() {
		return nil, errors.New("this is a link or not an ordinary file, so it is left alone; remove it")
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	f, err := os.OpenFile(name, flags, 0o666)
	if err != nil {
		return nil, err
	}
	if !isStill(f, name) {
		return nil, errors.Join(errors.New("this file changed while it was opened"), f.Close())
	}
	return f, nil
}
