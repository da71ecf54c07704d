package main

import (
	"io"
	"os"
	"strings"
	"time"

	"github.com/mattn/go-isatty"
)

// terminal says whether a person looks at what is written there.
func terminal(w io.Writer) bool {
	f, is := w.(*os.File)
	return is && isatty.IsTerminal(f.Fd())
}

// bar shows how far a file is, on one line that is wiped at the end.
type bar struct {
	io.Writer           // the file
	screen    io.Writer // nil shows nothing
	total     int64     // bytes
	written   int64     // bytes
	shown     time.Time
}

const (
	barCells = 30
	barPause = 100 * time.Millisecond
)

func (b *bar) Write(p []byte) (int, error) {
	n, err := b.Writer.Write(p)
	b.written += int64(n)
	if b.screen != nil && b.total > 0 && time.Since(b.shown) >= barPause {
		b.shown = time.Now()
		full := int(barCells * b.written / b.total)
		printf(b.screen, "\r[%s%s] %3d %%", strings.Repeat("=", full),
			strings.Repeat(" ", barCells-full), 100*b.written/b.total)
	}
	return n, err
}

func (b *bar) wipe() {
	if b.screen != nil {
		printf(b.screen, "\r%s\r", strings.Repeat(" ", barCells+len("[] 100 %")))
	}
}
