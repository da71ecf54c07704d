//go:build unix

package httpx

import "golang.org/x/sys/unix"

// shutIfEmpty stops listening if nobody waits, with as little time between looking
// and stopping as possible: a caller who connects in between is reset.
func shutIfEmpty(p pollable) (shut bool) {
	raw, err := p.SyscallConn()
	if err != nil {
		return true
	}
	err = raw.Control(func(fd uintptr) {
		n, err := unix.Poll([]unix.PollFd{{Fd: int32(fd), Events: unix.POLLIN}}, 0)
		if shut = err == nil && n == 0; shut {
			_ = unix.Shutdown(int(fd), unix.SHUT_RDWR) // where this does nothing, closing does it a moment later
		}
	})
	return shut || err != nil
}
