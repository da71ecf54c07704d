package unfold

import (
	"fmt"

	"reedlark/tab/diag"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// size is how much some steps play with their repeats written out, computed
// before anything is expanded.
type size struct {
	notes int
	rests int
	steps int // notes, rests and everything else, such as bar lines
}

// stepsPerNote is how many rests, bar lines and the like may come with a note
// on the average, before a page counts as too long.
const stepsPerNote = 5

// muchTooLong keeps sums and products of sizes within an int.
const muchTooLong = 1 << 30

func (s size) plus(t size) size {
	return size{min(s.notes+t.notes, muchTooLong), min(s.rests+t.rests, muchTooLong), min(s.steps+t.steps, muchTooLong)}
}

func (s size) times(n int) size {
	return size{min(s.notes*n, muchTooLong), min(s.rests*n, muchTooLong), min(s.steps*n, muchTooLong)}
}

// plays reports whether a note or a rest is in it.
func (s size) plays() bool { return s.notes+s.rests > 0 }

func sizeOf(s step) size {
	switch {
	case s.loop != nil:
		return s.loop.size
	case s.it.Kind == scan.Note:
		return size{notes: 1, steps: 1}
	case s.it.Kind == scan.Rest:
		return size{rests: 1, steps: 1}
	}
	return size{steps: 1}
}

// tooLong reports whether a size passes the limit.
func (s size) tooLong(l tree.Limits) bool { return s.notes > l.Notes || s.steps > l.Notes*stepsPerNote }

// bounded computes the length of the page with its repeats written out, and
// reports the place at which it is too long.
func (p *page) bounded() (sum size, ok bool) {
	for _, s := range p.steps {
		sum = sum.plus(sizeOf(s))
		if !sum.tooLong(p.limits) {
			continue
		}
		it := s.it
		if s.loop != nil {
			it = s.loop.sign
		}
		p.Add(diag.Error, diag.TooManyNotes, it.Span, "Cut the page in two, or repeat less.", fmt.Sprintf("With its repeats written out the page is longer than %d notes.", p.limits.Notes))
		return sum, false
	}
	return sum, true
}
