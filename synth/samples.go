package synth

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
)

// longFrames is how long a range must be for more than one processor to be
// worth it.
const longFrames = 8 * chunkFrames

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
	cur := newCursor(&s.plan)
	for from < to || len(busy) > 0 {
		for from < to && len(idle) > 0 {
			c := idle[0]
			idle = idle[1:]
			c.from, c.to = from, min(to, from+chunkFrames)
			cur.skip(s.runIn(from))
			c.cursor = cur.clone()
			busy = append(busy, begin(c, workers > 1))
			from = c.to
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
