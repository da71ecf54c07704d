package synth

import "reedlark/synth/reed"

// chunkFrames is how much is rendered at a time: long enough that the run-in
// of the room costs little, short enough to stay near the processor.
const chunkFrames = 1 << 16

// blockFrames is how much of a part is played before the next part's turn.
const blockFrames = 1024

// chunk is a stretch of a sound being rendered. Its buffers serve again.
type chunk struct {
	sound    *Sound
	from, to int64
	cursor   *cursor // at the frame where the bus begins
	tables   []*reed.Table
	bus      []float32 // dry, with all that the room reaches back to
	mid      [blockFrames]float32
	side     [blockFrames]float32
	out      []int32
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

// runIn is the frame from which a bus must be played so that frames from
// `from` on come out right.
func (s *Sound) runIn(from int64) int64 {
	return max(0, from-int64(s.room.Reach())) &^ (reed.Cell - 1)
}

// render makes the frames of the chunk.
func (c *chunk) render() []int32 {
	s := c.sound
	start := c.cursor.at
	c.tables = make([]*reed.Table, len(s.plan.timbres))
	silence := max(0, s.room.Reach()-int(c.from-start)) // before the first frame of all
	c.bus = grow(c.bus, silence+int(c.to-start))
	clear(c.bus)
	for bus := c.bus[silence:]; len(bus) > 0; {
		n := min(blockFrames, len(bus))
		c.cursor.play(bus[:n], c)
		bus = bus[n:]
	}
	c.out = grow(c.out, int(c.to-c.from)*s.set.Channels)
	for at := c.from; at < c.to; {
		n := int(min(c.to-at, blockFrames-at%blockFrames))
		c.finish(silence+int(at-start), at, n)
		at += int64(n)
	}
	return c.out
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
	out := c.out[int(at-c.from)*s.set.Channels:]
	s.room.Mid(c.mid[:n], c.bus, onBus)
	if s.set.Channels == 1 {
		s.quantize(out, c.mid[:n], at, 0)
		return
	}
	s.room.Side(c.side[:n], c.bus, onBus)
	for i, side := range c.side[:n] {
		mid := c.mid[i]
		c.mid[i], c.side[i] = mid+side, mid-side
	}
	s.quantize(out, c.mid[:n], at, 0)
	s.quantize(out, c.side[:n], at, 1)
}
