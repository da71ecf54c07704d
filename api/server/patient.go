package server

import (
	"io"
	"net/http"
	"time"
)

// patient is a writer that gives its reader time for each piece, not for the
// whole, so that a long sound may be slow and a reader who has gone to sleep is
// let go.
type patient struct {
	w       io.Writer
	control *http.ResponseController
	rate    int // bytes a second that the reader takes at least
}

const (
	piece      = 64 << 10 // bytes
	firstPause = 5 * time.Second
)

// allowed is how long some bytes may take.
func (p patient) allowed(bytes int) time.Duration {
	return firstPause + time.Duration(bytes)*time.Second/time.Duration(p.rate)
}

func (p patient) Write(b []byte) (n int, err error) {
	for len(b) > 0 && err == nil {
		next := b[:min(len(b), piece)]
		// Not every writer has deadlines; one that has none needs none.
		_ = p.control.SetWriteDeadline(time.Now().Add(p.allowed(len(next))))
		var k int
		k, err = p.w.Write(next)
		n, b = n+k, b[k:]
	}
	return n, err
}
