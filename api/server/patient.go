package server

import (
	"io"
	"net/http"
	"time"
)

// patient is a writer that gives its reader time for each piece, not for the
// whole.
type patient struct {
	w       io.Writer
	control *http.ResponseController
}

const piece = 64 << 10 // bytes

func (p patient) Write(b []byte) (n int, err error) {
	for len(b) > 0 && err == nil {
		// Not every writer has deadlines; one that has none needs none.
		_ = p.control.SetWriteDeadline(time.Now().Add(pieceTime))
		var k int
		k, err = p.w.Write(b[:min(len(b), piece)])
		n, b = n+k, b[k:]
	}
	return n, err
}
