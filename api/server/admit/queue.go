package admit

import (
	"context"
	"slices"
	"sync"
	"time"
)

// Queue hands slots to jobs.
type Queue struct {
	slots  int
	line   int                 // jobs that may wait, for each slot
	wait   time.Duration       // the longest that any waits to begin
	waited func(time.Duration) // is called with how long each job waited to begin

	mu      sync.Mutex
	free    int       // slots
	large   int       // slots with work that cannot be cut into pieces
	waiting []*waiter // by when they are due
	jobs    map[*Job]struct{}
}

// NewQueue has some slots; for each, line jobs may wait, none of them longer
// than wait. waited is called with how long each waited for its first slot.
func NewQueue(slots, line int, wait time.Duration, waited func(time.Duration)) *Queue {
	return &Queue{slots: slots, line: line, wait: wait, waited: waited, free: slots, jobs: map[*Job]struct{}{}}
}

// State is how many slots are free, and how many jobs were admitted and have not
// left.
func (q *Queue) State() (free, jobs int) {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.free, len(q.jobs)
}

// Job is some work of one caller. It is for use by one at a time.
type Job struct {
	queue     *Queue
	came, due time.Time
	left      time.Duration // of a processor
	committed bool
	begun     bool
	paused    bool
}

// NewJob is a job that comes now. It has to leave.
func (q *Queue) NewJob() *Job { return &Job{queue: q, came: time.Now()} }

// Commit keeps a job from being refused any more: some of its answer is sent.
func (j *Job) Commit() { j.committed = true }

// Committed says that it is.
func (j *Job) Committed() bool { return j.committed }

// A job is due after it came by what it needs, stretched, and a little.
const (
	stretch = 4
	slack   = 20 * time.Millisecond
)

// A line is a line only where it takes time: of jobs that need next to nothing more
// may wait than the operator says, as long as they wait no longer than is brief and
// are no crowd.
const (
	brief = 25 * time.Millisecond
	crowd = 64 // jobs for each slot
)

// Expect says how much of a processor a job needs yet, and refuses it where too much
// is due before it.
func (j *Job) Expect(left time.Duration) error {
	q := j.queue
	q.mu.Lock()
	defer q.mu.Unlock()
	j.left, j.due, j.paused = left, j.came.Add(stretch*left+slack), false
	jobs, work := q.before(j)
	slots := time.Duration(q.slots)
	full := jobs >= q.slots*(1+q.line) && work > slots*brief || jobs >= q.slots*crowd
	if j.committed || jobs < q.slots || !full && work <= slots*q.wait {
		q.jobs[j] = struct{}{}
		return nil
	}
	delete(q.jobs, j)
	if full {
		return &Refusal{LineFull, work / slots}
	}
	return &Refusal{TooMuch, work / slots}
}

// before is how many jobs are due before one, and how much they need yet.
func (q *Queue) before(j *Job) (jobs int, work time.Duration) {
	for o := range q.jobs {
		if o != j && !o.paused && !o.due.After(j.due) {
			jobs++
			work += o.left
		}
	}
	return jobs, work
}

// Pause says that a job waits for its reader: until it goes on, it keeps nobody out.
func (j *Job) Pause() { j.pause(true) }

// Resume says that it goes on.
func (j *Job) Resume() { j.pause(false) }

func (j *Job) pause(paused bool) {
	j.queue.mu.Lock()
	j.paused = paused
	j.queue.mu.Unlock()
}

// Leave ends a job, or the part of it that needs a processor.
func (j *Job) Leave() {
	j.queue.mu.Lock()
	delete(j.queue.jobs, j)
	j.queue.mu.Unlock()
}

// largeWork is work that cannot be cut into pieces and is so much that one slot is
// kept free of the like.
const largeWork = 50 * time.Millisecond

// Slot is a place to work.
type Slot struct {
	job   *Job
	large bool
	held  bool
	since time.Time
}

// Acquire waits for a slot, for work that takes about as long as told. The slot has to
// be released.
func (j *Job) Acquire(ctx context.Context, about time.Duration) (*Slot, error) {
	s := &Slot{job: j, large: about > largeWork}
	return s, s.take(ctx)
}

// Context is ctx for work in the slot. Long work polls its Err; each time, the slot is
// first lent to any waiting jobs that are due before this one.
func (s *Slot) Context(ctx context.Context) context.Context { return yielding{ctx, s} }

type yielding struct {
	context.Context
	slot *Slot
}

// Err is that of the context once the slot is back. It may be asked by many at once:
// those who ask while the slot is lent go on.
func (y yielding) Err() error {
	s, q := y.slot, y.slot.job.queue
	q.mu.Lock()
	urgent := s.held && len(q.waiting) > 0 && q.waiting[0].due.Before(s.job.due)
	if urgent {
		s.back()
	}
	q.mu.Unlock()
	if !urgent {
		return y.Context.Err()
	}
	return s.take(y.Context)
}

// Release gives the slot back, if it is held.
func (s *Slot) Release() {
	s.job.queue.mu.Lock()
	defer s.job.queue.mu.Unlock()
	if s.held {
		s.back()
	}
}

// back gives the slot back.
func (s *Slot) back() {
	s.held = false
	s.job.left = max(0, s.job.left-time.Since(s.since))
	s.job.queue.back(s.large)
}

// waiter is a job that waits for a slot.
type waiter struct {
	due   time.Time
	large bool
	ready chan struct{} // closed when it has one
}

// take waits for a slot. A job that has begun waits for as long as it takes.
func (s *Slot) take(ctx context.Context) error {
	j, q := s.job, s.job.queue
	w := &waiter{j.due, s.large, make(chan struct{})}
	q.mu.Lock()
	at, _ := slices.BinarySearchFunc(q.waiting, w, func(a, b *waiter) int {
		if a.due.After(b.due) {
			return 1
		}
		return -1 // after those that are due at the same time
	})
	q.waiting = slices.Insert(q.waiting, at, w)
	q.deal()
	q.mu.Unlock()
	asked := time.Now()
	if err := j.await(ctx, w); err != nil {
		return err
	}
	now := time.Now()
	if !j.begun {
		q.waited(now.Sub(asked))
	}
	j.begun = true
	q.mu.Lock()
	s.held, s.since = true, now
	q.mu.Unlock()
	return nil
}

func (j *Job) await(ctx context.Context, w *waiter) error {
	var late <-chan time.Time
	if !j.begun && !j.committed {
		timer := time.NewTimer(j.queue.wait)
		defer timer.Stop()
		late = timer.C
	}
	select {
	case <-w.ready: // at once, for most
		return nil
	default:
	}
	select {
	case <-w.ready:
		return nil
	case <-late:
		return j.queue.withdraw(w, &Refusal{TooLate, j.queue.wait})
	case <-ctx.Done():
		return j.queue.withdraw(w, ctx.Err())
	}
}

// withdraw takes a waiter out of the line, or its slot away.
func (q *Queue) withdraw(w *waiter, why error) error {
	q.mu.Lock()
	defer q.mu.Unlock()
	if i := slices.Index(q.waiting, w); i >= 0 {
		q.waiting = slices.Delete(q.waiting, i, i+1)
		return why
	}
	q.back(w.large)
	return why
}

func (q *Queue) back(large bool) {
	q.free++
	if large {
		q.large--
	}
	q.deal()
}

// deal gives free slots to waiting jobs.
func (q *Queue) deal() {
	for i := 0; i < len(q.waiting) && q.free > 0; {
		w := q.waiting[i]
		if w.large && q.large >= max(1, q.slots-1) {
			i++
			continue
		}
		q.waiting = slices.Delete(q.waiting, i, i+1)
		q.free--
		if w.large {
			q.large++
		}
		close(w.ready)
	}
}
