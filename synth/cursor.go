package synth

import (
	"slices"

	"reedlark/synth/reed"
)

// cursor goes through the parts of a sound and knows which of them sound.
type cursor struct {
	plan   *plan
	at     int64
	next   int // of plan.starts, the first that has not begun
	active []sounding
}

// sounding is a part in the middle of sounding.
type sounding struct {
	part  int32
	phase uint32
}

// rewind goes back to the beginning.
func (c *cursor) rewind() { c.at, c.next, c.active = 0, 0, c.active[:0] }

// follow goes to where another cursor is.
func (c *cursor) follow(d *cursor) {
	active := append(c.active[:0], d.active...)
	*c = *d
	c.active = active
}

// skip goes on to a frame without sounding.
func (c *cursor) skip(to int64) {
	c.walk(to, func(s *sounding, part reed.Part, from, stop int64) {
		if stop == to { // else it is over by then, and nobody asks for its phase
			s.phase = part.Advance(s.phase, from, stop)
		}
	})
}

// play adds the next len(out) frames.
func (c *cursor) play(out []float32, tables reed.Tables) {
	at := c.at
	c.walk(at+int64(len(out)), func(s *sounding, part reed.Part, from, to int64) {
		s.phase = part.Play(out[from-at:to-at], s.phase, from, tables)
	})
}

// walk lets every part that sounds before frame to, in the order of the
// score, do what it has to.
func (c *cursor) walk(to int64, do func(s *sounding, part reed.Part, from, to int64)) {
	c.begin(to)
	for i := range c.active {
		part := c.plan.parts[c.active[i].part]
		from, end := part.Span()
		do(&c.active[i], part, max(from, c.at), min(end, to))
	}
	c.active = slices.DeleteFunc(c.active, func(s sounding) bool {
		_, end := c.plan.parts[s.part].Span()
		return end <= to
	})
	c.at = to
}

// begin takes in the parts that start before frame to.
func (c *cursor) begin(to int64) {
	for ; c.next < len(c.plan.starts); c.next++ {
		part := c.plan.starts[c.next]
		if from, _ := c.plan.parts[part].Span(); from >= to {
			return
		}
		at, _ := slices.BinarySearchFunc(c.active, part, func(s sounding, p int32) int { return int(s.part - p) })
		c.active = slices.Insert(c.active, at, sounding{part: part})
	}
}
