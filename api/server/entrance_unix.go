//go:build unix

package server

import "golang.org/x/sys/unix"

// locked shuts the door in the same breath in which it saw that nobody stands
// there: whoever came in between would be connected, and reset.
func locked(q queue) (done bool) {
	raw, err := q.SyscallConn()
	if err != nil {
		return true
	}
	err = raw.Control(func(fd uintptr) {
		n, err := unix.Poll([]unix.PollFd{{Fd: int32(fd), Events: unix.POLLIN}}, 0)
		if done = err == nil && n == 0; done {
			_ = unix.Shutdown(int(fd), unix.SHUT_RDWR) // where this does nothing, closing does it a moment later
		}
	})
	return done || err != nil
}
