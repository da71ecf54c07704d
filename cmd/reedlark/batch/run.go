package batch

import (
	"context"
	"errors"
	"iter"
	"runtime"
	"slices"
	"sync"
	"syscall"
)

// Run does the jobs, as many at once as there are processors, and yields what
// became of each as it is done. When ctx ends no more are begun. The loop over it
// must go on to its end.
func Run[J, O any](ctx context.Context, jobs []J, do func(context.Context, J) O) iter.Seq[O] {
	todo, done := make(chan J), make(chan O)
	go func() {
		defer close(todo)
		for _, j := range jobs {
			select {
			case todo <- j:
			case <-ctx.Done():
				return
			}
		}
	}()
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for j := range todo {
				done <- do(ctx, j)
			}
		})
	}
	go func() {
		workers.Wait()
		close(done)
	}()
	return func(yield func(O) bool) {
		for o := range done {
			if !yield(o) {
				return
			}
		}
	}
}

// Hopeless reports whether a failure is one of the whole disk, which the next job
// would meet too.
func Hopeless(err error) bool {
	return slices.ContainsFunc([]error{syscall.ENOSPC, syscall.EDQUOT, syscall.EROFS, syscall.EIO},
		func(e error) bool { return errors.Is(err, e) })
}
