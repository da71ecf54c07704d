package server

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// holding takes a slot of a gate until the function it returns is called.
func holding(t *testing.T, g *gate, left time.Duration) (release func()) {
	t.Helper()
	v := g.visit()
	require.NoError(t, v.expect(left))
	require.NoError(t, v.take(t.Context(), false))
	return func() {
		v.give(false, 0)
		v.leave()
	}
}

// state is how many slots of a gate are free, and how many calls are inside.
func state(g *gate) (free, inside int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.free, len(g.inside)
}

// reason is why a visit was refused.
func reason(t *testing.T, err error) string {
	t.Helper()
	var busy *errBusy
	require.ErrorAs(t, err, &busy)
	return busy.reason
}

func TestGateLetsInAFew(t *testing.T) {
	g := newGate(2, 1, time.Second)
	var in []*visit
	for range 4 { // two at work, two in line
		v := g.visit()
		require.NoError(t, v.expect(100*time.Millisecond))
		in = append(in, v)
	}
	require.Equal(t, "line", reason(t, g.visit().expect(100*time.Millisecond)))
	in[0].leave()
	require.NoError(t, g.visit().expect(100*time.Millisecond))
}

// Of what costs next to nothing many may wait, but no crowd.
func TestGateLetsInMoreOfWhatIsShort(t *testing.T) {
	g := newGate(1, 1, time.Second)
	n := 0
	for ; g.visit().expect(time.Millisecond) == nil; n++ {
		require.Less(t, n, 1000)
	}
	require.Equal(t, 26, n, "25 ms of work and one more")
	g = newGate(1, 1, time.Second)
	for n = 0; g.visit().expect(0) == nil; n++ {
		require.Less(t, n, 1000)
	}
	require.Equal(t, crowd, n)
}

// soon is a visit that is due before any that comes later, and has much to do.
func soon(t *testing.T, g *gate) *visit {
	t.Helper()
	v := g.visit()
	require.NoError(t, v.expect(0))
	g.mu.Lock()
	v.left = 100 * time.Millisecond
	g.mu.Unlock()
	return v
}

// What is long keeps what is short neither out nor waiting.
func TestGateGoesByWork(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(1, 2, time.Second)
		release := holding(t, g, 2*time.Second)
		require.Equal(t, "work", reason(t, g.visit().expect(3*time.Second)), "two seconds of work are due before it")
		order := make(chan string, 2)
		for _, call := range []struct {
			name string
			left time.Duration
		}{{"middling", 500 * time.Millisecond}, {"short", time.Millisecond}} {
			v := g.visit()
			require.NoError(t, v.expect(call.left), call.name)
			go func() { order <- errorOr(v.work(t.Context(), 0, func() error { order <- call.name; return nil }), "") }()
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
func TestGateStarvesNobody(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(1, 2, time.Second)
		long := g.visit()
		require.NoError(t, long.expect(100*time.Millisecond)) // due after 420 ms
		time.Sleep(500 * time.Millisecond)
		short := g.visit()
		require.NoError(t, short.expect(time.Millisecond))
		require.True(t, long.due.Before(short.due))
	})
}

func TestGateWaitsASecondAtMost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := newGate(1, 2, time.Second)
		release := holding(t, g, 0)
		began := time.Now()
		v := g.visit()
		require.NoError(t, v.expect(0))
		require.Equal(t, "wait", reason(t, v.take(t.Context(), false)))
		require.Equal(t, time.Second, time.Since(began))
		require.Empty(t, g.queue)

		begun := g.visit()
		begun.must = true
		require.NoError(t, begun.expect(0))
		done := make(chan error, 1)
		go func() { done <- begun.take(t.Context(), false) }()
		time.Sleep(time.Minute)
		release()
		require.NoError(t, <-done, "what was begun is finished, however long it waits")
	})
}

func TestGateForgetsWhoLeaves(t *testing.T) {
	g := newGate(1, 2, time.Second)
	release := holding(t, g, 0)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	v := g.visit()
	require.NoError(t, v.expect(0))
	require.ErrorIs(t, v.take(ctx, false), context.Canceled)
	v.leave()
	release()
	require.Empty(t, g.queue)
	require.Empty(t, g.inside)
	require.Equal(t, 1, g.free)
}

// Work that cannot be cut up leaves a slot to the others.
func TestGateKeepsASlotFreeOfLargeWork(t *testing.T) {
	g := newGate(2, 2, time.Second)
	first, second, small := g.visit(), g.visit(), g.visit()
	require.NoError(t, first.take(t.Context(), true))
	done := make(chan error, 1)
	go func() { done <- second.take(t.Context(), true) }()
	require.NoError(t, small.take(t.Context(), false))
	small.give(false, 0)
	select {
	case err := <-done:
		require.Fail(t, "both slots have large work", err)
	default:
	}
	first.give(true, 0)
	require.NoError(t, <-done)
	second.give(true, 0)
	require.Equal(t, 2, g.free)
	require.Zero(t, g.large)
}

func TestGateGivesBackAfterAPanic(t *testing.T) {
	g := newGate(1, 2, time.Second)
	require.Panics(t, func() { _ = g.visit().work(t.Context(), time.Second, func() error { panic("a reed broke") }) })
	require.Equal(t, 1, g.free)
	require.Zero(t, g.large)
}

func TestGateLearns(t *testing.T) {
	g := newGate(1, 2, time.Second)
	for range 200 {
		g.learn(2, 8*time.Millisecond)
	}
	require.InDelta(t, 4*time.Millisecond, g.pace, float64(100*time.Microsecond))
	require.InDelta(t, 40*time.Millisecond, g.time(10), float64(time.Millisecond))
	for range 200 {
		g.remember(50, 20*time.Millisecond)
	}
	require.InDelta(t, 40*time.Millisecond, g.guess(100), float64(time.Millisecond))
}

// A listener who is slow keeps nobody out.
func TestGateDoesNotCountWhoIsHeldUp(t *testing.T) {
	g := newGate(1, 1, time.Second)
	first := soon(t, g)
	soon(t, g)
	require.Equal(t, "line", reason(t, g.visit().expect(0)))
	sent := false
	first.stalled(&sent)
	require.NoError(t, g.visit().expect(0))
	first.goOn(&sent)
	first.stalled(&sent) // told too late
	require.False(t, first.idle)
}

// ref: RFC 9110, section 10.2.3, and RFC 6585.
func TestBusy(t *testing.T) {
	s := newServer(Config{Log: quiet.Log, Slots: 1, Line: 1}.filled())
	releases := []func(){holding(t, s.gate, 0)}
	waiting := soon(t, s.gate)
	seen := map[int]bool{}
	for _, target := range []string{"/v1/score?tab=4", "/v1/audio?tab=4", "/v1/picture?tab=4", "/v1/tab?tab=4"} {
		for range 8 {
			res := record(s.handler(), call{target: target})
			require.Equal(t, http.StatusServiceUnavailable, res.StatusCode)
			n, err := strconv.Atoi(res.Header.Get("Retry-After"))
			require.NoError(t, err)
			seen[n] = true
			problem(t, res)
		}
	}
	require.Greater(t, len(seen), 1, "they do not all come back at once")
	for _, path := range []string{"/healthz", "/readyz", "/v1/harps", "/openapi.yaml"} {
		require.Equal(t, http.StatusOK, record(s.handler(), call{target: path}).StatusCode, path)
	}
	waiting.leave()
	for _, release := range releases {
		release()
	}
	require.Equal(t, http.StatusOK, record(s.handler(), call{target: "/v1/score?tab=4"}).StatusCode)
}

func TestBusyIsAnError(t *testing.T) {
	var busy *errBusy
	require.True(t, errors.As(error(&errBusy{"line", 0}), &busy))
	require.NotEmpty(t, busy.Error())
}

// One piece in which the machine stood still changes next to nothing.
func TestPaceIgnoresAStall(t *testing.T) {
	g := newGate(1, 1, time.Second)
	before := g.time(1)
	g.learn(1, 10*time.Second)
	require.LessOrEqual(t, g.time(1), before+before/8)
	for range 200 {
		g.learn(1, 10*before)
	}
	require.InEpsilon(t, float64(10*before), float64(g.time(1)), 0.05, "a slow machine is learnt all the same")
}
