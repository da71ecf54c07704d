package batch

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/mattn/go-isatty"
)

// Terminal reports whether a person looks at what is written to w.
func Terminal(w io.Writer) bool {
	f, is := w.(*os.File)
	return is && isatty.IsTerminal(f.Fd())
}

const (
	barCells = 30
	redraw   = 100 * time.Millisecond // by ear: smooth enough, and costs nothing
)

// bar is a progress bar on one line of a terminal.
type bar struct {
	screen io.Writer // nil shows nothing
	drawn  time.Time
	width  int // of what is on the line
}

func newBar(screen io.Writer) bar {
	if !Terminal(screen) {
		return bar{}
	}
	return bar{screen: screen}
}

// draw shows the share that is done, and a text.
func (b *bar) draw(share float64, text string) {
	full := int(barCells * share)
	line := "[" + strings.Repeat("=", full) + strings.Repeat(" ", barCells-full) + "] " + text
	_, _ = fmt.Fprintf(b.screen, "\r%s%s", line, strings.Repeat(" ", max(b.width-len(line), 0))) // nobody is left to hear of a failure
	b.drawn, b.width = time.Now(), len(line)
}

// Shown reports whether there is a bar on the screen.
func (b *bar) Shown() bool { return b.screen != nil }

// Wipe clears the line.
func (b *bar) Wipe() {
	if b.Shown() {
		_, _ = fmt.Fprintf(b.screen, "\r%s\r", strings.Repeat(" ", b.width))
	}
}

// Progress shows how many of many jobs are done, and how long the rest will take
// at the pace so far.
type Progress struct {
	bar
	total, done int
	made        int // that took their time
	begun       time.Time
}

// NewProgress shows the progress of total jobs, where screen is a terminal.
func NewProgress(screen io.Writer, total int) *Progress {
	p := &Progress{bar: newBar(screen), total: total, begun: time.Now()}
	if p.Shown() {
		p.show()
	}
	return p
}

// Step counts one more job; made says that there was work to do.
func (p *Progress) Step(made bool) {
	p.done++
	if made {
		p.made++
	}
	if p.Shown() && (time.Since(p.drawn) >= redraw || p.done == p.total) {
		p.show()
	}
}

func (p *Progress) show() {
	p.draw(float64(p.done)/float64(max(p.total, 1)), fmt.Sprintf("%d of %d%s", p.done, p.total, p.left()))
}

// left is the time the rest takes.
func (p *Progress) left() string {
	const enough = time.Second // before that a guess would be wild
	took := time.Since(p.begun)
	if p.made == 0 || took < enough {
		return ""
	}
	return ", " + minutes(took/time.Duration(p.made)*time.Duration(p.total-p.done)) + " left"
}

// minutes is a time as people say it.
func minutes(d time.Duration) string {
	d = d.Round(time.Second)
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", d/time.Second)
	case d < time.Hour:
		return fmt.Sprintf("%d min %d s", d/time.Minute, d%time.Minute/time.Second)
	}
	return fmt.Sprintf("%d h %d min", d/time.Hour, d%time.Hour/time.Minute)
}

// Meter is a writer that shows how much of a file is written.
type Meter struct {
	io.Writer
	bar
	total, written int64 // bytes
}

// NewMeter writes to w and shows the share of total bytes, where screen is a
// terminal.
func NewMeter(w io.Writer, total int64, screen io.Writer) *Meter {
	return &Meter{Writer: w, bar: newBar(screen), total: total}
}

// Write writes, and draws now and then.
func (m *Meter) Write(p []byte) (int, error) {
	n, err := m.Writer.Write(p)
	m.written += int64(n)
	if m.Shown() && m.total > 0 && time.Since(m.drawn) >= redraw {
		m.draw(float64(m.written)/float64(m.total), fmt.Sprintf("%3d %%", 100*m.written/m.total))
	}
	return n, err
}
