//go:build !linux && !darwin && !freebsd && !netbsd && !openbsd && !dragonfly

package batch

import (
	"errors"
	"os"
)

// errLocked does not occur: Windows itself refuses to remove a file that another
// process has open, which is all that the lock is for.
var errLocked = errors.New("locked")

func lock(*os.File) error { return nil }

const movesOpenFiles = false
