package main

import (
	"errors"
	"net/http"
	"sync"
	"syscall"
)

// stops tells services to stop while 32 clients call without a pause, ten times
// over, and counts what got lost.
func stops(b *bench, binary string) error {
	var whole, lost int
	for range 10 {
		s, err := start(binary, "--line=64")
		if err != nil {
			return err
		}
		b.service = s
		w, l, err := b.stopUnderLoad()
		if err != nil {
			return err
		}
		whole, lost = whole+w, lost+l
	}
	b.says("told to stop under 32 clients, ten times: whole answers", "", "%d", whole)
	b.says("cut short, reset or refused with an error", "0", "%d", lost)
	return nil
}

func (b *bench) stopUnderLoad() (whole, lost int, err error) {
	var clients, first sync.WaitGroup
	var mu sync.Mutex
	path := fresh(soundSeconds)
	for range 32 {
		first.Add(1)
		clients.Go(func() {
			answered := sync.OnceFunc(first.Done)
			for w, l := 1, 0; w+l > 0; answered() {
				w, l = b.one(path())
				mu.Lock()
				whole, lost = whole+w, lost+l
				mu.Unlock()
			}
		})
	}
	first.Wait()
	err = b.stop()
	clients.Wait()
	return whole, lost, err
}

// one call of a client: a whole answer, a lost one, or neither where the door is
// shut.
func (b *bench) one(path string) (whole, lost int) {
	res, err := b.client.Get(b.base + path)
	if errors.Is(err, syscall.ECONNREFUSED) {
		return 0, 0
	}
	if err == nil {
		size, failed := drain(res)
		if failed == nil && size == res.ContentLength && res.StatusCode == http.StatusOK {
			return 1, 0
		}
	}
	return 0, 1
}
