package server

import (
	"context"
	"slices"
	"sync"
	"time"
)

// gate lets calls on to the processors, a few at once. It goes by work, not by
// calls: every call is due some time after it came, the later the more it asks
// for, and whoever is due first is served first, piece by piece. So a long sound
// never keeps a short one waiting for longer than a piece takes, and every call
// is slowed down alike. A call that would have too many others before it, or too
// much work, is refused at once.
type gate struct {
	slots int
	line  int           // calls that may wait, for each slot
	wait  time.Duration // the longest anybody waits to begin

	waited func(time.Duration) // is told how long each call waited to begin

	mu     sync.Mutex
	free   int                 // slots nobody has
	large  int                 // slots that have work which cannot be cut into pieces
	queue  []*waiter           // by when they are due
	inside map[*visit]struct{} // admitted, and not gone
	pace   time.Duration       // what a voice-second takes on a processor, as measured lately
	byByte time.Duration       // what the sound of a byte of tab took, lately
}

// What a voice-second and a byte of tab are taken to cost until some were rendered;
// measured on the machine of the figures in DEVELOPERS.md.
const (
	firstPace = 500 * time.Microsecond
	firstByte = 60 * time.Microsecond
)

func newGate(slots, line int, wait time.Duration) *gate {
	return &gate{waited: func(time.Duration) {}, slots: slots, line: line, wait: wait, free: slots, inside: map[*visit]struct{}{}, pace: firstPace, byByte: firstByte}
}

// visit is what the gate knows of one call.
type visit struct {
	gate  *gate
	came  time.Time
	due   time.Time
	left  time.Duration // of a processor it is thought to need yet
	must  bool          // some of its answer is sent: it is not to be refused any more
	begun bool
	idle  bool // its listener keeps it from going on
}

func (g *gate) visit() *visit { return &visit{gate: g, came: time.Now()} }

// waiter is a visit that waits for a slot.
type waiter struct {
	due   time.Time
	large bool
	ready chan struct{} // closed when it has one
}

// The time in which a call is due after it came: what it takes by itself, so
// many times over, and a little.
const (
	stretch = 4
	slack   = 20 * time.Millisecond
)

// A line is a line only where it takes time: of calls that cost next to nothing
// more may wait than the operator says, as long as they wait no longer than is
// brief, and are no crowd.
const (
	brief = 25 * time.Millisecond
	crowd = 64 // calls for each slot
)

// expect says how much of a processor a visit needs yet, and refuses it where
// too much is due before it.
func (v *visit) expect(left time.Duration) error {
	g := v.gate
	g.mu.Lock()
	defer g.mu.Unlock()
	v.left, v.due = left, v.came.Add(stretch*left+slack)
	calls, work := g.before(v)
	slots := time.Duration(g.slots)
	full := calls >= g.slots*(1+g.line) && work > slots*brief || calls >= g.slots*crowd
	if !v.must && calls >= g.slots && (full || work > slots*g.wait) {
		delete(g.inside, v)
		reason := "work"
		if full {
			reason = "line"
		}
		return &errBusy{reason, work / time.Duration(g.slots)}
	}
	g.inside[v] = struct{}{}
	return nil
}

// before is how many calls are due before a visit, and how much they need yet.
func (g *gate) before(v *visit) (calls int, work time.Duration) {
	for o := range g.inside {
		if o != v && !o.idle && !o.due.After(v.due) {
			calls++
			work += o.left
		}
	}
	return calls, work
}

// largeWork is work that cannot be cut into pieces and is so much that one slot
// is kept free of the like.
const largeWork = 50 * time.Millisecond

// work waits for a slot and does what takes about so long.
func (v *visit) work(ctx context.Context, about time.Duration, do func() error) error {
	large := about > largeWork
	if err := v.take(ctx, large); err != nil {
		return err
	}
	began := time.Now()
	defer func() { v.give(large, time.Since(began)) }()
	return do()
}

// take waits for a slot. A call that has begun waits for as long as it takes.
func (v *visit) take(ctx context.Context, large bool) error {
	g := v.gate
	w := &waiter{v.due, large, make(chan struct{})}
	g.mu.Lock()
	at, _ := slices.BinarySearchFunc(g.queue, w, func(a, b *waiter) int {
		if a.due.After(b.due) {
			return 1
		}
		return -1 // after those that are due at the same time
	})
	g.queue = slices.Insert(g.queue, at, w)
	g.deal()
	g.mu.Unlock()
	began := time.Now()
	if err := v.await(ctx, w); err != nil {
		return err
	}
	if !v.begun {
		g.waited(time.Since(began))
	}
	v.begun = true
	return nil
}

func (v *visit) await(ctx context.Context, w *waiter) error {
	var late <-chan time.Time
	if !v.begun && !v.must {
		timer := time.NewTimer(v.gate.wait)
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
		return v.gate.withdraw(w, &errBusy{"wait", v.gate.wait})
	case <-ctx.Done():
		return v.gate.withdraw(w, ctx.Err())
	}
}

// withdraw takes a waiter out of the queue, or its slot away.
func (g *gate) withdraw(w *waiter, why error) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	if i := slices.Index(g.queue, w); i >= 0 {
		g.queue = slices.Delete(g.queue, i, i+1)
		return why
	}
	g.back(w.large)
	return why
}

// give gives a slot back after some work.
func (v *visit) give(large bool, took time.Duration) {
	g := v.gate
	g.mu.Lock()
	defer g.mu.Unlock()
	v.left = max(0, v.left-took)
	g.back(large)
}

func (g *gate) back(large bool) {
	g.free++
	if large {
		g.large--
	}
	g.deal()
}

// deal hands out the free slots.
func (g *gate) deal() {
	for i := 0; i < len(g.queue) && g.free > 0; {
		w := g.queue[i]
		if w.large && g.large >= max(1, g.slots-1) {
			i++
			continue
		}
		g.queue = slices.Delete(g.queue, i, i+1)
		g.free--
		if w.large {
			g.large++
		}
		close(w.ready)
	}
}

// stalled says that a visit waits for its listener, unless what it sends is sent:
// meanwhile it keeps nobody out.
func (v *visit) stalled(sent *bool) {
	v.gate.mu.Lock()
	v.idle = !*sent
	v.gate.mu.Unlock()
}

// goOn says that what a visit sends is sent.
func (v *visit) goOn(sent *bool) {
	v.gate.mu.Lock()
	*sent, v.idle = true, false
	v.gate.mu.Unlock()
}

// leave ends a visit.
func (v *visit) leave() {
	v.gate.mu.Lock()
	delete(v.gate.inside, v)
	v.gate.mu.Unlock()
}

// learn takes note of what some voice-seconds took.
func (g *gate) learn(work float64, took time.Duration) {
	if work < 0.1 { // too little to tell
		return
	}
	g.mu.Lock()
	// A piece during which the machine did something else tells nothing, and must
	// not make calls due so late that they starve.
	now := min(time.Duration(float64(took)/work), 2*g.pace)
	g.pace += (now - g.pace) / 16
	g.mu.Unlock()
}

// time is what some voice-seconds take on a processor.
func (g *gate) time(work float64) time.Duration {
	g.mu.Lock()
	defer g.mu.Unlock()
	return time.Duration(work * float64(g.pace))
}

// remember takes note of what the sound of a tab of so many bytes costs.
func (g *gate) remember(bytes int, about time.Duration) {
	g.mu.Lock()
	g.byByte += (about/time.Duration(max(bytes, 1)) - g.byByte) / 16
	g.mu.Unlock()
}

// guess is what the sound of a tab of so many bytes is likely to cost.
func (g *gate) guess(bytes int) time.Duration {
	g.mu.Lock()
	defer g.mu.Unlock()
	return time.Duration(bytes) * g.byByte
}
