package batch

import (
	"context"
	"errors"
	"time"
)

// ErrInterrupted is the error of work that a signal ended.
var ErrInterrupted = errors.New("interrupted")

// grace is how long work may still take after an interrupt, so that what is almost
// done ends properly. by ear: shorter than a person notices.
const grace = 200 * time.Millisecond

// Await does what may block for ever, such as opening a named pipe that nobody
// has opened at the other end, and gives up with ErrInterrupted soon after ctx
// ends. The work itself cannot be stopped: the process is expected to end.
func Await[T any](ctx context.Context, do func() (T, error)) (T, error) {
	type result struct {
		value T
		err   error
		fault any
	}
	done := make(chan result, 1)
	go func() {
		var r result
		defer func() {
			r.fault = recover()
			done <- r
		}()
		r.value, r.err = do()
	}()
	stop := make(chan struct{})
	defer context.AfterFunc(ctx, func() { time.AfterFunc(grace, func() { close(stop) }) })()
	select {
	case r := <-done:
		if r.fault != nil {
			panic(r.fault)
		}
		return r.value, r.err
	case <-stop:
		var none T
		return none, ErrInterrupted
	}
}
