package tab

import (
	"fmt"

	"reedlark/tab/diag"
)

// size is how much a stretch plays with its repeats written out, reckoned
// before anything is expanded.
type size struct {
	notes int // notes and rests
	steps int // these and everything else, such as bar lines
}

// stepsPerNote is how many steps a note may come with on the average, before
// a page counts as too long.
const stepsPerNote = 10

// muchTooLong keeps sums and products of sizes within an int.
const muchTooLong = 1 << 30

func (s size) plus(t size) size {
	return size{min(s.notes+t.notes, muchTooLong), min(s.steps+t.steps, muchTooLong)}
}

func (s size) times(n int) size {
	return size{min(s.notes*n, muchTooLong), min(s.steps*n, muchTooLong)}
}

func sizeOf(s step) size {
	switch {
	case s.loop != nil:
		return s.loop.size
	case s.it.kind == noteItem || s.it.kind == restItem:
		return size{1, 1}
	}
	return size{0, 1}
}

// tooLong says that a size passes the limit.
func (s size) tooLong(l Limits) bool { return s.notes > l.Notes || s.steps > l.Notes*stepsPerNote }

// bounded checks the length of the page as it unfolds, and reports the place
// at which it is too long.
func (p *page) bounded() bool {
	var sum size
	for _, s := range p.steps {
		sum = sum.plus(sizeOf(s))
		if !sum.tooLong(p.limits) {
			continue
		}
		it := s.it
		if s.loop != nil {
			it = s.loop.sign
		}
		p.add(diag.Error, diag.TooManyNotes, it.span, "Cut the page in two, or repeat less.", fmt.Sprintf("With its repeats written out the page is longer than %d notes.", p.limits.Notes))
		return false
	}
	return true
}
