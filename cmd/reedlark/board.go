package main

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// board shows on one line of a terminal how far many jobs are, and how long the
// rest will take if it goes on like this.
type board struct {
	screen io.Writer // nil shows nothing
	total  int       // jobs
	done   int
	made   int // that took their time
	begun  time.Time
	drawn  time.Time
	width  int // of what is on the line
}

func newBoard(w io.Writer, total int) *board {
	b := &board{total: total, begun: time.Now()}
	if terminal(w) {
		b.screen = w
		b.draw(b.begun)
	}
	return b
}

func (b *board) shown() bool { return b.screen != nil }

// step counts one job more; made says that it was work.
func (b *board) step(made bool) {
	b.done++
	if made {
		b.made++
	}
	if now := time.Now(); b.shown() && (now.Sub(b.drawn) >= barPause || b.done == b.total) {
		b.draw(now)
	}
}

func (b *board) draw(now time.Time) {
	b.drawn = now
	full := barCells * b.done / max(b.total, 1)
	text := fmt.Sprintf("[%s%s] %d of %d%s", strings.Repeat("=", full), strings.Repeat(" ", barCells-full), b.done, b.total, b.left(now))
	printf(b.screen, "\r%s%s", text, strings.Repeat(" ", max(b.width-len(text), 0)))
	b.width = len(text)
}

// left is the time the rest takes at the pace so far.
func (b *board) left(now time.Time) string {
	const enough = time.Second // before that a guess would be wild
	took := now.Sub(b.begun)
	if b.made == 0 || took < enough {
		return ""
	}
	return ", " + span(took/time.Duration(b.made)*time.Duration(b.total-b.done)) + " left"
}

// span is a time as people say it.
func span(d time.Duration) string {
	d = d.Round(time.Second)
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", d/time.Second)
	case d < time.Hour:
		return fmt.Sprintf("%d min %d s", d/time.Minute, d%time.Minute/time.Second)
	}
	return fmt.Sprintf("%d h %d min", d/time.Hour, d%time.Hour/time.Minute)
}

func (b *board) wipe() {
	if b.shown() {
		printf(b.screen, "\r%s\r", strings.Repeat(" ", b.width))
	}
}
