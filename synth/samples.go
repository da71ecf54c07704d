package synth

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"

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
	if from < 0 || from > to || to > s.frames {
		return fmt.Errorf("synth: frames %d to %d of a sound of %d", from, to, s.frames)
	}
	if s.set.Split {
		return s.beside(ctx, from, to, emit)
	}
	if to-from < longFrames {
		return s.render(ctx, from, to, 1, emit)
	}
	return s.render(ctx, from, to, min(runtime.GOMAXPROCS(0), mostWorkers), emit)
}

// render keeps so many chunks in work and emits them in order.
func (s *Sound) render(ctx context.Context, from, to int64, workers int, emit func([]int32) error) error {
	idle := make([]*chunk, workers)
	for i := range idle {
		idle[i] = &chunk{sound: s}
	}
	var busy []*work
	defer func() { await(busy) }()
	next := s.start(from)
	for next.at < to || len(busy) > 0 {
		for next.at < to && len(idle) > 0 {
			next.give(idle[0], from, to, workers > 1)
			busy = append(busy, begin(idle[0], workers > 1))
			idle = idle[1:]
		}
		w := busy[0]
		busy = busy[1:]
		<-w.done
		if err := errors.Join(ctx.Err(), w.err); err != nil {
			return err
		}
		if err := emit(w.chunk.out); err != nil {
			return err
		}
		idle = append(idle, w.chunk)
	}
	return nil
}

// place is where the next chunk begins, and what the chunk before hands on.
type place struct {
	at     int64
	cursor *cursor
	end    chan []float32
}

// start is the place from which frame `from` comes out right: the room has
// already heard what it reaches back to.
func (s *Sound) start(from int64) *place {
	at, reach := from&^(reed.Cell-1), s.room.Reach()
	first := max(0, at-int64(reach)) &^ (reed.Cell - 1)
	cur := newCursor(&s.plan)
	cur.skip(first)
	heard := make([]float32, max(reach, int(at-first)))
	c := &chunk{sound: s, cursor: cur}
	c.play(heard[len(heard)-int(at-first):])
	end := make(chan []float32, 1)
	end <- heard[len(heard)-reach:]
	return &place{at, cur, end}
}

// give hands a chunk its stretch of the frames up to `to`, of which those
// before `from` are not wanted. Where chunks are rendered beside each other,
// each has a cursor of its own.
func (p *place) give(c *chunk, from, to int64, beside bool) {
	c.from, c.to = p.at, min(to, p.at+chunkFrames)
	c.wanted = max(from, c.from)
	c.before, c.after = p.end, make(chan []float32, 1)
	c.cursor = p.cursor
	if beside {
		c.cursor = p.cursor.clone()
		p.cursor.skip(c.to)
	}
	p.at, p.end = c.to, c.after
}

// work is a chunk in work; done closes when it is, or when it failed with err.
type work struct {
	chunk *chunk
	done  chan struct{}
	err   error
}

// begin renders a chunk, beside the caller if asked to.
func begin(c *chunk, beside bool) *work {
	w := &work{chunk: c, done: make(chan struct{})}
	run := func() {
		defer close(w.done)
		defer close(c.after) // whoever waits for a chunk that failed goes on
		defer w.rescue()
		c.render()
	}
	if beside {
		go run()
	} else {
		run()
	}
	return w
}

// rescue turns a panic into an error: beside the caller nobody could catch it.
func (w *work) rescue() {
	if r := recover(); r != nil {
		w.err = fmt.Errorf("synth: a mistake in the renderer: %v\n%s", r, debug.Stack())
	}
}

// await lets the work that is left come to its end.
func await(busy []*work) {
	for _, w := range busy {
		<-w.done
	}
}
