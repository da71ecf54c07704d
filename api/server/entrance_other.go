//go:build !unix

package server

// locked leaves the door to whoever closes the listener: here nothing tells whether
// somebody stands there, and who does is reset.
func locked(queue) bool { return true }
