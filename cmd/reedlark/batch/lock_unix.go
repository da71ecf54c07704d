//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package batch

import (
	"os"
	"syscall"
)

// errLocked is the error of a lock that another process holds.
const errLocked = syscall.EWOULDBLOCK

// lock takes the lock of an open file, or fails at once. The system releases it
// when the process ends, however it ends.
func lock(f *os.File) error { return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) }

const movesOpenFiles = true
