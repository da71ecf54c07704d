package main

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"time"
)

// drain reads an answer to its end.
func drain(res *http.Response) (int64, error) {
	defer func() { _ = res.Body.Close() }()
	return io.Copy(io.Discard, res.Body)
}

// state is how large the service is at one moment.
type state struct {
	memory, descriptors int
	goroutines          float64
}

// mixed is a long day made short: all kinds of calls at half of capacity. What is
// asked is whether the service grows.
func mixed(b *bench, last time.Duration) error {
	capacity := b.capacity(time.Duration(b.seconds)*time.Second, fresh(soundSeconds))
	states, done := make(chan []state), make(chan struct{})
	go func() { states <- b.watch(last/60, done) }()
	ctx, stop := context.WithCancel(context.Background())
	go b.leavers(ctx)
	all := b.openLoop(capacity/2, last, mix())
	stop()
	close(done)
	seen := <-states
	if len(seen) < 6 {
		return fmt.Errorf("the load of %s was too short to see anything", last)
	}
	third := len(seen) / 3
	before, after := seen[:third], seen[len(seen)-third:]
	b.says(fmt.Sprintf("%s of mixed load, %.0f calls a second: answers, without one", last, capacity/2), "", "%d, %d", len(all), len(only(all, 0)))
	b.says("refused, failed on our side", "", "%d, %d", len(only(all, http.StatusServiceUnavailable)), len(only(all, http.StatusInternalServerError)))
	for _, f := range []struct {
		name  string
		value func(state) float64
	}{
		{"memory in MiB", func(s state) float64 { return float64(s.memory) / (1 << 20) }},
		{"goroutines", func(s state) float64 { return s.goroutines }},
		{"descriptors", func(s state) float64 { return float64(s.descriptors) }},
	} {
		b.says(f.name+", median of the first and of the last third", "flat", "%.0f, %.0f", quantile(before, 0.5, f.value), quantile(after, 0.5, f.value))
	}
	return nil
}

// watch looks at the service again and again.
func (b *bench) watch(every time.Duration, done <-chan struct{}) (out []state) {
	for {
		select {
		case <-done:
			return out
		case <-time.After(every):
		}
		memory, descriptors, err := b.size()
		goroutines, noFigure := b.figure("go_goroutines")
		if err == nil && noFigure == nil {
			out = append(out, state{memory, descriptors, goroutines})
		}
	}
}

// leavers go away in the middle of their sounds, four of them, ten times a
// second.
func (b *bench) leavers(ctx context.Context) {
	path := fresh(121)
	for ctx.Err() == nil {
		one, leave := context.WithTimeout(ctx, 100*time.Millisecond)
		for range 4 {
			r, err := http.NewRequestWithContext(one, http.MethodGet, b.base+path(), nil)
			if err != nil {
				break
			}
			if res, err := b.client.Do(r); err == nil {
				_, _ = io.CopyN(io.Discard, res.Body, 5000) // going away is the point
				_ = res.Body.Close()
			}
		}
		<-one.Done()
		leave()
	}
}

// mix is addresses of all kinds, new and known, good and bad.
func mix() func() string {
	chance := rand.New(rand.NewPCG(3, 4))
	sound := fresh(soundSeconds)
	known := []string{sound(), sound(), sound(), sound(), sound()}
	n := 0
	kinds := []func() string{
		sound, sound, sound,
		func() string { return known[chance.IntN(len(known))] },
		func() string { return known[chance.IntN(len(known))] },
		func() string { return fmt.Sprintf("/v1/score?tab=4+-4+5&tempo=%d.%d", 60+n%300, n) },
		func() string { return fmt.Sprintf("/v1/picture?tab=4+-4+5+6&tempo=%d.%d", 60+n%300, n) },
		func() string { return "/v1/tab?to_convention=letters&tab=4+-4+5" },
		func() string { return fmt.Sprintf("/v1/audio?tab=4+Q%d+5", n) },
		func() string { return fmt.Sprintf("/v1/audio?tab=4&wrong%d=1", n) },
		func() string { return "/?tab=4+-4+5" },
		func() string { return fmt.Sprintf("/v1/harps/%c", 'A'+rune(n%7)) },
		func() string { return fmt.Sprintf("/nothing/%d", n) },
	}
	return func() string {
		n++
		return kinds[chance.IntN(len(kinds))]()
	}
}
