package httpx

import (
	"io"
	"net/http"
	"time"
)

// deadlineWriter gives its reader time for each piece, not for the whole: a long
// answer may take long, and a reader who stopped reading is cut off.
type deadlineWriter struct {
	w       io.Writer
	control *http.ResponseController
	rate    int // bytes a second that the reader takes at least
}

const (
	pieceBytes = 64 << 10
	firstPause = 5 * time.Second
)

// allowed is how long some bytes may take.
func (d deadlineWriter) allowed(bytes int) time.Duration {
	return firstPause + time.Duration(bytes)*time.Second/time.Duration(d.rate)
}

func (d deadlineWriter) Write(b []byte) (n int, err error) {
	for len(b) > 0 && err == nil {
		next := b[:min(len(b), pieceBytes)]
		// Not every writer has deadlines; one that has none needs none.
		_ = d.control.SetWriteDeadline(time.Now().Add(d.allowed(len(next))))
		var k int
		k, err = d.w.Write(next)
		n, b = n+k, b[k:]
	}
	return n, err
}

// prefixWriter delays its prefix, and start, until the first write.
type prefixWriter struct {
	w      io.Writer
	start  func() // nil once called
	prefix string
}

func (p *prefixWriter) Write(b []byte) (int, error) {
	if p.start != nil {
		p.start()
		p.start = nil
	}
	if p.prefix != "" {
		if _, err := io.WriteString(p.w, p.prefix); err != nil {
			return 0, err
		}
		p.prefix = ""
	}
	return p.w.Write(b)
}
