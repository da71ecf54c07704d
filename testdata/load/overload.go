package main

import (
	"fmt"
	"net/http"
	"runtime"
	"sync"
	"time"
)

// soundSeconds is the length of the sounds that are asked for: enough that the
// work is the rendering.
const soundSeconds = 20

// overload asks for more than the service can do, for some time.
func overload(b *bench) error {
	path := fresh(soundSeconds)
	span := time.Duration(b.seconds) * time.Second
	b.openLoop(5, time.Second, path) // the clients warm up as well
	capacity := b.capacity(span, path)
	if capacity == 0 {
		return fmt.Errorf("not one sound in %s", span)
	}
	calm := good(b.openLoop(capacity/10, span, path))
	b.says(fmt.Sprintf("capacity, new sounds of %d s", soundSeconds), "", "%.0f a second", capacity)
	b.says("unloaded, a tenth of capacity: median, p99", "", "%s, %s", ms(took(calm, 0.5)), ms(took(calm, 0.99)))
	for _, times := range []float64{2, 4, 10} {
		all, health := b.probed(func() []answer { return b.openLoop(times*capacity, span, path) })
		b.tell(times, capacity, span, all, calm, health)
	}
	b.says("back to twice the unloaded p99 after that", "2 s", "%s", b.recovery(2*took(calm, 0.99), path))
	return nil
}

// capacity is how many sounds a second come of clients that are as many as the
// processors and never rest.
func (b *bench) capacity(span time.Duration, path func() string) float64 {
	var clients sync.WaitGroup
	var mu sync.Mutex
	done := 0
	for end, i := time.Now().Add(span), 0; i < runtime.NumCPU(); i++ {
		clients.Go(func() {
			for time.Now().Before(end) {
				if b.get(path()).status == http.StatusOK {
					mu.Lock()
					done++
					mu.Unlock()
				}
			}
		})
	}
	clients.Wait()
	return float64(done) / span.Seconds()
}

// probed asks after the service's health while it has other things to do.
func (b *bench) probed(meanwhile func() []answer) (all, health []answer) {
	done, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			select {
			case <-done:
				return
			case <-time.After(50 * time.Millisecond):
				health = append(health, b.get("/healthz"), b.get("/readyz"))
			}
		}
	}()
	all = meanwhile()
	close(done)
	<-stopped
	return all, health
}

func (b *bench) tell(times, capacity float64, span time.Duration, all, calm, health []answer) {
	accepted, refused := good(all), only(all, http.StatusServiceUnavailable)
	with := 0
	for _, a := range refused {
		if a.retry {
			with++
		}
	}
	load := fmt.Sprintf("%.0f times capacity: ", times)
	least := map[float64]string{2: "0.9", 4: "0.8", 10: "0.7"}[times]
	b.says(load+"goodput to capacity", least, "%.2f", float64(len(accepted))/span.Seconds()/capacity)
	b.says(load+"p99 of the accepted to the unloaded p99", "4", "%.1f", ratio(took(accepted, 0.99), took(calm, 0.99)))
	b.says(load+"median of the refusals to that of the accepted", "0.1", "%.2f", ratio(took(refused, 0.5), took(accepted, 0.5)))
	b.says(load+"refusals that say when to come again", "all", "%d of %d", with, len(refused))
	b.says(load+"neither accepted nor refused", "0", "%d", len(all)-len(accepted)-len(refused))
	b.says(load+"health answered; p99", "all", "%d of %d; %s", len(good(health)), len(health), ms(took(health, 0.99)))
}

// recovery is how long it takes until ten sounds in a row, one every 20 ms, are
// accepted and come as fast as they did.
func (b *bench) recovery(as time.Duration, path func() string) string {
	began, row := time.Now(), 0
	back := began
	for time.Since(began) < 20*time.Second {
		if a := b.get(path()); a.status != http.StatusOK || a.took > as {
			row, back = 0, time.Now()
		} else if row++; row == 10 {
			return ms(back.Sub(began))
		}
		time.Sleep(20 * time.Millisecond)
	}
	return "not within 20 s"
}

func ms(d time.Duration) string { return fmt.Sprintf("%.1f ms", float64(d.Microseconds())/1000) }
