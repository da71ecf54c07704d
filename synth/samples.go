package synth

import (
	"context"
	"errors"
	"fmt"
	"runtime"

	"reedlark/synth/reed"
)

// longFrames is how long a range must be, a minute and a half, for more than one processor to be
// worth it.
const longFrames = 1 << 22

// mostWorkers bounds the processors, and so the memory, one render takes.
const mostWorkers = 4

// Samples renders the frames from `from` up to `to`, quantized at the depth of
// the settings, channels interleaved, and hands them to emit block by block,
// in order. A block may be kept only until emit returns. The samples do not
// depend on the range, nor on how many processors there are. An error of emit,
// or the end of ctx, stops it and is returned.
func (s *Sound) Samples(ctx context.Context, from, to int64, emit func(block []int32) error) error {
	if err := s.within(from, to); err != nil {
		return err
	}
	return s.player(to-from).render(ctx, from, to, emit)
}

func (s *Sound) within(from, to int64) error {
	if from < 0 || from > to || to > s.frames {
		return fmt.Errorf("synth: frames %d to %d of a sound of %d", from, to, s.frames)
	}
	return nil
}

// Player renders a sound range by range. A range that follows the one before it,
// at a multiple of 64 frames, goes on where that ended; any other is looked for
// from the beginning of the piece. It is for use by one at a time.
type Player struct {
	sound *Sound
	player
}

// Player is a player of the sound, on one processor.
func (s *Sound) Player() *Player { return &Player{s, s.player(0)} }

// Samples renders a range as [Sound.Samples] does: the same samples.
func (p *Player) Samples(ctx context.Context, from, to int64, emit func(block []int32) error) error {
	if err := p.sound.within(from, to); err != nil {
		return err
	}
	return p.render(ctx, from, to, emit)
}

// player renders ranges of a sound, one after the other, in buffers that serve
// again.
type player interface {
	render(ctx context.Context, from, to int64, emit func(block []int32) error) error
}

// player is one for so many frames in all.
func (s *Sound) player(frames int64) player {
	workers := 1
	if frames >= longFrames {
		workers = min(runtime.GOMAXPROCS(0), mostWorkers)
	}
	if s.set.Split {
		return pair{s.sides[0].newLine(workers), s.sides[1].newLine(workers)}
	}
	return s.newLine(workers)
}

// line is the chunks that render the frames from `from` up to `to`, in turn. The
// dry sound's end goes round from each to the one behind it.
type line struct {
	sound       *Sound
	from, to    int64
	chunks      []*chunk
	begun, over int    // how often a chunk has had its turn
	at          int64  // where the next one begins
	cursor      cursor // and what sounds there
	heard       []float32
}

func (s *Sound) newLine(workers int) *line {
	l := &line{sound: s, cursor: cursor{plan: &s.plan}}
	for range workers {
		l.chunks = append(l.chunks, &chunk{sound: s, after: make(chan []float32, 1), done: make(chan struct{}, 1)})
	}
	for i, c := range l.chunks {
		l.chunks[(i+1)%workers].before = c.after
	}
	return l
}

// render keeps all chunks in work and emits them in order.
func (l *line) render(ctx context.Context, from, to int64, emit func([]int32) error) error {
	l.start(from, to)
	defer l.await()
	for l.fill(); l.over < l.begun; l.fill() {
		c := l.next()
		if err := errors.Join(ctx.Err(), c.err); err != nil {
			l.heard = nil // a chunk that failed hands on no sound
			return err
		}
		if err := emit(c.out); err != nil {
			return err
		}
	}
	return nil
}

// start goes to the frame `from`, the room having heard what it reaches back to.
// Where the last range ended there, all of that is at hand. What lies ahead of the
// last range is not looked for from the beginning.
func (l *line) start(from, to int64) {
	reach := l.sound.room.Reach()
	follows := l.heard != nil && from == l.at && from%reed.Segment == 0
	l.from, l.to, l.at = from, to, from&^(reed.Segment-1)
	if follows {
		l.chunks[l.begun%len(l.chunks)].before <- l.heard[len(l.heard)-reach:]
		return
	}
	first := max(0, l.at-int64(reach)) &^ (reed.Segment - 1)
	if first < l.cursor.at {
		l.cursor.rewind()
	}
	l.cursor.skip(first)
	l.heard = grow(l.heard, max(reach, int(l.at-first)))
	clear(l.heard)
	c := l.chunks[0]
	c.cursor = &l.cursor
	c.play(l.heard[len(l.heard)-int(l.at-first):])
	l.chunks[l.begun%len(l.chunks)].before <- l.heard[len(l.heard)-reach:]
}

// fill begins chunks until all are in work or the sound is at its end. Each has a
// cursor of its own where others are rendered beside it.
func (l *line) fill() {
	for l.at < l.to && l.begun-l.over < len(l.chunks) {
		c := l.chunks[l.begun%len(l.chunks)]
		c.from, c.to = l.at, min(l.to, l.at+chunkFrames)
		c.wanted = max(l.from, c.from)
		c.cursor = &l.cursor
		l.at = c.to
		l.begun++
		if len(l.chunks) == 1 {
			c.work()
			continue
		}
		c.own.follow(&l.cursor)
		c.cursor = &c.own
		l.cursor.skip(c.to)
		go c.work()
	}
}

// next waits for the chunk whose turn it is to come out.
func (l *line) next() *chunk {
	c := l.chunks[l.over%len(l.chunks)]
	<-c.done
	l.over++
	return c
}

// await lets the work that is left come to its end.
func (l *line) await() {
	for l.over < l.begun {
		l.next()
	}
	<-l.chunks[l.begun%len(l.chunks)].before
}
