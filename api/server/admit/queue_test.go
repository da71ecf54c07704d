package admit

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// holding takes a slot of a gate until the function it returns is called.
func holding(t *testing.T, g *Queue, left time.Duration) (release func()) {
	t.Helper()
	v := g.NewJob()
	require.NoError(t, v.Expect(left))
	slot, err := v.Acquire(t.Context(), 0)
	require.NoError(t, err)
	return func() {
		slot.Release()
		v.Leave()
	}
}

// reason is why a visit was refused.
func reason(t *testing.T, err error) Reason {
	t.Helper()
	var refused *Refusal
	require.ErrorAs(t, err, &refused)
	require.NotEmpty(t, refused.Error())
	return refused.Reason
}

func newQueue(slots, line int, wait time.Duration) *Queue {
	return NewQueue(slots, line, wait, func(time.Duration) {})
}

func TestQueueLetsInAFew(t *testing.T) {
	g := newQueue(2, 1, time.Second)
	var in []*Job
	for range 4 { // two at work, two in line
		v := g.NewJob()
		require.NoError(t, v.Expect(100*time.Millisecond))
		in = append(in, v)
	}
	require.Equal(t, LineFull, reason(t, g.NewJob().Expect(100*time.Millisecond)))
	in[0].Leave()
	require.NoError(t, g.NewJob().Expect(100*time.Millisecond))
}

// Of what costs next to nothing many may wait, but no crowd.
func TestQueueLetsInMoreOfWhatIsShort(t *testing.T) {
	g := newQueue(1, 1, time.Second)
	n := 0
	for ; g.NewJob().Expect(time.Millisecond) == nil; n++ {
		require.Less(t, n, 1000)
	}
	require.Equal(t, 26, n, "25 ms of work and one more")
	g = newQueue(1, 1, time.Second)
	for n = 0; g.NewJob().Expect(0) == nil; n++ {
		require.Less(t, n, 1000)
	}
	require.Equal(t, crowd, n)
}

// soon is a visit that is due before any that comes later, and has much to do.
func soon(t *testing.T, g *Queue) *Job {
	t.Helper()
	v := g.NewJob()
	require.NoError(t, v.Expect(0))
	g.mu.Lock()
	v.left = 100 * time.Millisecond
	g.mu.Unlock()
	return v
}

// What is long keeps what is short neither out nor waiting.
func TestQueueGoesByWork(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newQueue(1, 2, time.Second)
		release := holding(t, g, 2*time.Second)
		require.Equal(t, TooMuch, reason(t, g.NewJob().Expect(3*time.Second)), "two seconds of work are due before it")
		order := make(chan string, 2)
		for _, call := range []struct {
			name string
			left time.Duration
		}{{"middling", 500 * time.Millisecond}, {"short", time.Millisecond}} {
			v := g.NewJob()
			require.NoError(t, v.Expect(call.left), call.name)
			go func() {
				slot, err := v.Acquire(t.Context(), 0)
				order <- call.name
				slot.Release()
				order <- errorOr(err, "")
			}()
			synctest.Wait()
		}
		release()
		require.Equal(t, "short", <-order)
		require.Empty(t, <-order)
		require.Equal(t, "middling", <-order)
		require.Empty(t, <-order)
	})
}

func errorOr(err error, text string) string {
	if err != nil {
		return err.Error()
	}
	return text
}

// A long sound that is due at last goes before short ones that came later.
func TestQueueStarvesNobody(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newQueue(1, 2, time.Second)
		long := g.NewJob()
		require.NoError(t, long.Expect(100*time.Millisecond)) // due after 420 ms
		time.Sleep(500 * time.Millisecond)
		short := g.NewJob()
		require.NoError(t, short.Expect(time.Millisecond))
		require.True(t, long.due.Before(short.due))
	})
}

func TestQueueWaitsASecondAtMost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newQueue(1, 2, time.Second)
		release := holding(t, g, 0)
		began := time.Now()
		v := g.NewJob()
		require.NoError(t, v.Expect(0))
		_, err := v.Acquire(t.Context(), 0)
		require.Equal(t, TooLate, reason(t, err))
		require.Equal(t, time.Second, time.Since(began))
		require.Empty(t, g.waiting)

		begun := g.NewJob()
		begun.Commit()
		require.NoError(t, begun.Expect(0))
		done := make(chan error, 1)
		go func() {
			_, err := begun.Acquire(t.Context(), 0)
			done <- err
		}()
		time.Sleep(time.Minute)
		release()
		require.NoError(t, <-done, "what was begun is finished, however long it waits")
	})
}

func TestQueueForgetsWhoLeaves(t *testing.T) {
	g := newQueue(1, 2, time.Second)
	release := holding(t, g, 0)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	v := g.NewJob()
	require.NoError(t, v.Expect(0))
	_, err := v.Acquire(ctx, 0)
	require.ErrorIs(t, err, context.Canceled)
	v.Leave()
	release()
	require.Empty(t, g.waiting)
	require.Empty(t, g.jobs)
	require.Equal(t, 1, g.free)
}

// Work that cannot be cut up leaves a slot to the others.
func TestQueueKeepsASlotFreeOfLargeWork(t *testing.T) {
	g := newQueue(2, 2, time.Second)
	acquire := func(about time.Duration) *Slot {
		slot, err := g.NewJob().Acquire(t.Context(), about)
		require.NoError(t, err)
		return slot
	}
	first := acquire(time.Second)
	second := make(chan *Slot, 1)
	go func() { second <- acquire(time.Second) }()
	acquire(0).Release()
	require.Empty(t, second, "both slots have large work")
	first.Release()
	(<-second).Release()
	require.Equal(t, 2, g.free)
	require.Zero(t, g.large)
}

// Long work that cannot be cut up lends its slot to what is due before.
func TestQueueYields(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newQueue(1, 2, time.Second)
		long := g.NewJob()
		require.NoError(t, long.Expect(10*time.Second))
		slot, err := long.Acquire(t.Context(), 10*time.Second)
		require.NoError(t, err)
		require.NoError(t, slot.Context(t.Context()).Err(), "nobody waits")
		short := g.NewJob()
		require.NoError(t, short.Expect(time.Millisecond))
		served := make(chan time.Time, 1)
		go func() {
			s, err := short.Acquire(t.Context(), 0)
			require.NoError(t, err)
			time.Sleep(time.Millisecond)
			served <- time.Now()
			s.Release()
		}()
		synctest.Wait()
		require.NoError(t, slot.Context(t.Context()).Err())
		require.Equal(t, <-served, time.Now())

		short = g.NewJob()
		require.NoError(t, short.Expect(time.Millisecond))
		ctx, leave := context.WithCancel(t.Context())
		go func() {
			s, err := short.Acquire(t.Context(), 0)
			require.NoError(t, err)
			leave()
			time.Sleep(time.Millisecond)
			s.Release()
		}()
		synctest.Wait()
		working := slot.Context(ctx)
		require.ErrorIs(t, working.Err(), context.Canceled)
		require.ErrorIs(t, working.Err(), context.Canceled, "it is not asked for again")
		slot.Release() // which it does not have any more
		time.Sleep(time.Second)
		free, _ := g.State()
		require.Equal(t, 1, free)
	})
}

func TestQueueGivesBackAfterAPanic(t *testing.T) {
	g := newQueue(1, 2, time.Second)
	require.Panics(t, func() {
		slot, err := g.NewJob().Acquire(t.Context(), time.Second)
		require.NoError(t, err)
		defer slot.Release()
		panic("a reed broke")
	})
	require.Equal(t, 1, g.free)
	require.Zero(t, g.large)
}

// A listener who is slow keeps nobody out.
func TestQueueDoesNotCountWhoIsHeldUp(t *testing.T) {
	g := newQueue(1, 1, time.Second)
	first := soon(t, g)
	soon(t, g)
	require.Equal(t, LineFull, reason(t, g.NewJob().Expect(0)))
	first.Pause()
	require.NoError(t, g.NewJob().Expect(0))
	first.Resume()
	require.Equal(t, LineFull, reason(t, g.NewJob().Expect(0)))
}
