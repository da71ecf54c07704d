package synth

import (
	"fmt"
	"runtime/debug"

	"reedlark/synth/reed"
)

// chunkFrames is how much is rendered at a time: as much as stays near the
// processor.
const chunkFrames = 1 << 15

// blockFrames is how much of a part is played before the next part's turn.
const blockFrames = 1024

// chunk is a stretch of a sound being rendered. Its buffers serve again.
type chunk struct {
	sound     *Sound
	from, to  int64 // frames; from is a multiple of reed.Segment
	wanted    int64 // the first frame that goes out, from or later
	cursor    *cursor
	own       cursor // for when it is not the line's
	tables    []*reed.Table
	bus       []float32 // dry: all that the room reaches back to, then the frames
	mid, side [blockFrames]float32
	out       []int32
	// The end of the dry sound goes from hand to hand, in one buffer: a chunk
	// takes it from the chunk before, and hands on its own.
	before, after chan []float32
	done          chan struct{} // told when the frames are there, or err is set
	err           error
}

// work makes the frames of the chunk and tells that they are done. Whatever
// happens, it hands on the end of its dry sound, since others wait for it.
func (c *chunk) work() {
	c.bus = grow(c.bus, c.sound.room.Reach()+int(c.to-c.from))
	c.err = c.dry()
	c.takeOver()
	if c.err == nil {
		c.err = c.wet()
	}
	c.done <- struct{}{}
}

// rescue turns a panic into an error: beside the caller nobody could catch it.
func rescue(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("synth: a mistake in the renderer: %v\n%s", r, debug.Stack())
	}
}

// Table is the table of a timbre; it is looked for once in a chunk.
func (c *chunk) Table(number int32) *reed.Table {
	if c.tables[number] == nil {
		c.tables[number] = c.sound.set.Tables.Table(c.sound.plan.timbres[number])
	}
	return c.tables[number]
}

// Hiss is the noise of breath.
func (c *chunk) Hiss() []float32 { return c.sound.set.Tables.Hiss(c.sound.set.Rate) }

// dry renders the frames before their room.
func (c *chunk) dry() (err error) {
	defer rescue(&err)
	c.play(c.bus[c.sound.room.Reach():])
	return nil
}

// wet puts the frames into their room and rounds them.
func (c *chunk) wet() (err error) {
	defer rescue(&err)
	reach := c.sound.room.Reach()
	c.out = grow(c.out, int(c.to-c.wanted)*c.sound.set.Channels)
	for at := c.wanted; at < c.to; {
		n := int(min(c.to-at, blockFrames-at%blockFrames))
		c.finish(reach+int(at-c.from), at, n)
		at += int64(n)
	}
	return nil
}

// play renders dry sound from where the cursor is.
func (c *chunk) play(bus []float32) {
	c.tables = grow(c.tables, len(c.sound.plan.timbres))
	clear(c.tables)
	clear(bus)
	for len(bus) > 0 {
		n := min(blockFrames, len(bus))
		c.cursor.play(bus[:n], c)
		bus = bus[n:]
	}
}

// takeOver puts the end of the chunk before in front of this one's sound.
func (c *chunk) takeOver() {
	end := <-c.before
	reach := len(end)
	copy(c.bus[:reach], end)
	copy(end, c.bus[len(c.bus)-reach:])
	c.after <- end
}

func grow[T any](buf []T, n int) []T {
	if cap(buf) < n {
		return make([]T, n)
	}
	return buf[:n]
}

// finish puts n frames into their room, and rounds them.
func (c *chunk) finish(onBus int, at int64, n int) {
	s := c.sound
	out := c.out[int(at-c.wanted)*s.set.Channels:]
	mid, side := c.mid[:n], c.side[:n]
	if s.room.Dry() {
		mid = c.bus[onBus:][:n] // nothing looks back at it
	} else {
		s.room.Mid(mid, c.bus, onBus)
	}
	if s.set.Channels == 1 {
		s.quantize(out, mid, at, 0)
		return
	}
	s.room.Side(side, c.bus, onBus)
	for i, b := range side {
		a := mid[i]
		mid[i], side[i] = a+b, a-b
	}
	s.quantize(out, mid, at, 0)
	s.quantize(out, side, at, 1)
}
