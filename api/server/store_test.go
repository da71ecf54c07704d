package server

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// counting is an observer that counts what tests ask of it.
type counting struct {
	Nobody
	mu       sync.Mutex
	rendered float64
	looks    map[string]int // "piece hit", "piece miss", …
	shed     map[string]int
	problems map[string]int
	stages   map[string]int
}

func newCounting() *counting {
	return &counting{looks: map[string]int{}, shed: map[string]int{}, problems: map[string]int{}, stages: map[string]int{}}
}

func (c *counting) Rendered(seconds float64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.rendered += seconds
}

func (c *counting) Cached(kind string, hit bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.looks[fmt.Sprint(kind, " ", hit)]++
}

func (c *counting) Shed(reason string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.shed[reason]++
}

func (c *counting) Problem(_, code string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.problems[code]++
}

func (c *counting) Stage(ctx context.Context, name string) (context.Context, func(error)) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.stages[name]++
	return ctx, func(error) {}
}

// lasts says for how long a tune of n notes sounds, at 60 beats a minute.
func tuneOf(n int) string { return "/v1/audio?tempo=60&tab=" + strings.Repeat("4+", n) }

// Two hundred who ask for one sound at once are one render.
func TestManyAskOneRender(t *testing.T) {
	for _, format := range []string{"wav", "flac"} {
		seen := newCounting()
		h := Handler(Config{Log: quiet.Log, Observer: seen})
		target := tuneOf(20) + "&format=" + format
		var wg sync.WaitGroup
		var wrong atomic.Int64
		start := make(chan struct{})
		bodies := make([]string, 200)
		for i := range bodies {
			wg.Go(func() {
				<-start
				rec := httptest.NewRecorder()
				h.ServeHTTP(rec, httptest.NewRequest(http.MethodGet, target, nil))
				if rec.Code != http.StatusOK {
					wrong.Add(1)
				}
				bodies[i] = rec.Body.String()
			})
		}
		close(start)
		wg.Wait()
		require.Zero(t, wrong.Load())
		for _, b := range bodies {
			require.Equal(t, len(bodies[0]), len(b))
			require.True(t, bodies[0] == b)
		}
		require.InDelta(t, 20.25, seen.rendered, 0.3, "seconds rendered, %s", format)
		require.Equal(t, 1, seen.stages["parse"])
		require.Equal(t, 1, seen.stages["perform"])
	}
}

// What is kept is told apart by what is asked for, and by nothing else: neither
// by the order of the parameters, nor by how a value is written, nor by a field.
func TestOneEntry(t *testing.T) {
	s := newService(Config{Log: quiet.Log}.filled())
	h := s.handler()
	r := rand.New(rand.NewPCG(6, 1))
	want := record(h, call{target: "/v1/audio?tab=4+5&tempo=300&room=0&harp=A"})
	for i := range 300 {
		params := []string{"tab=4%205", "tempo=300.0", "room=0.00", "harp=a", "channels=1", "click=false"}
		r.Shuffle(len(params), func(i, j int) { params[i], params[j] = params[j], params[i] })
		res := record(h, call{target: "/v1/audio?" + strings.Join(params, "&"), header: map[string]string{
			"Origin": fmt.Sprintf("https://%d.example", i), "Cookie": fmt.Sprint(i), "User-Agent": fmt.Sprint(i),
			"Accept": fmt.Sprintf("audio/wav;q=0.%d", 1+i%9),
		}})
		require.Equal(t, http.StatusOK, res.StatusCode)
		require.Equal(t, want.Header.Get("ETag"), res.Header.Get("ETag"))
		require.Equal(t, "reedlark; hit", res.Header.Get("Cache-Status"))
		refused := record(h, call{target: "/v1/audio?tab=4%205&tempo=300&room=0&harp=a&" + fmt.Sprintf("noise%d=1", i)})
		require.Equal(t, http.StatusBadRequest, refused.StatusCode)
	}
	_, items := s.store.Size()
	require.Equal(t, 2, items, "a piece and its one block of sound")
}

// It is bounded in bytes.
func TestStoreIsBounded(t *testing.T) {
	const most = 1 << 20
	s := newService(Config{Log: quiet.Log, CacheBytes: most}.filled())
	h := s.handler()
	for i := range 60 {
		res := record(h, call{target: fmt.Sprintf("/v1/audio?tab=4+5&tempo=%d", 100+i)})
		require.Equal(t, http.StatusOK, res.StatusCode)
	}
	kept, items := s.store.Size()
	require.LessOrEqual(t, kept, int64(most))
	require.NotZero(t, items)
}

// All resources of a tab share one opening of it, and many may use it at once.
func TestOnePieceForAll(t *testing.T) {
	seen := newCounting()
	h := Handler(Config{Log: quiet.Log, Observer: seen, Slots: 4, Line: 8})
	var wg sync.WaitGroup
	for i := range 24 {
		target := []string{"/v1/audio?", "/v1/score?", "/v1/picture?", "/v1/tab?", "/v1/score?format=midi&", "/v1/score?format=musicxml&"}[i%6]
		wg.Go(func() {
			res := record(h, call{target: target + tune})
			_, err := io.Copy(io.Discard, res.Body)
			if res.StatusCode != http.StatusOK || err != nil {
				t.Error(target, res.StatusCode, err)
			}
		})
	}
	wg.Wait()
	require.Equal(t, 1, seen.stages["parse"])
}

func TestProblemsAreCountedByCode(t *testing.T) {
	seen := newCounting()
	h := Handler(Config{Log: quiet.Log, Observer: seen})
	for range 3 {
		record(h, call{target: "/v1/audio?tab=4+11+5"})
	}
	record(h, call{target: "/v1/audio?tab=4+-7/+5"})
	require.Equal(t, 3, seen.problems["no-such-hole"])
	require.Equal(t, 1, seen.problems["bend-too-deep"])
}

// A FLAC file that no store keeps is coded once for who takes it at once, and what
// is held meanwhile is given back.
func TestFLACIsCodedOnce(t *testing.T) {
	seen := newCounting()
	s := newService(Config{Log: quiet.Log, Observer: seen, CacheBytes: -1}.filled())
	res := record(s.handler(), call{target: tuneOf(20) + "&format=flac"})
	require.Equal(t, http.StatusOK, res.StatusCode)
	require.InDelta(t, 20.25, seen.rendered, 0.3)
	require.Zero(t, s.memory.Held())
}
