package main

import (
	"errors"
	"net/http"
	"sync"
	"sync/atomic"
	"syscall"
)

// stops tells services to stop while 32 clients call without a pause, ten times
// over, and counts what got lost.
func stops(b *bench, binary string) error {
	var all ends
	for range 10 {
		s, err := start(binary, "--line=64")
		if err != nil {
			return err
		}
		b.service = s
		if err := b.stopUnderLoad(&all); err != nil {
			return err
		}
	}
	b.says("told to stop under 32 clients, ten times: whole answers", "", "%d", all.whole.Load())
	b.says("cut short or reset", "0", "%d", all.lost.Load())
	b.says("refused for want of room, or failed on our side", "0", "%d", all.refused.Load())
	return nil
}

// ends counts how calls end.
type ends struct{ whole, lost, refused atomic.Int64 }

func (b *bench) stopUnderLoad(all *ends) error {
	var clients, first sync.WaitGroup
	path := fresh(2)
	for range 32 {
		first.Add(1)
		clients.Go(func() {
			answered := sync.OnceFunc(first.Done)
			for open := true; open; answered() {
				open = b.one(path(), all)
			}
		})
	}
	first.Wait()
	err := b.stop()
	clients.Wait()
	return err
}

// one call of a client; false where the door is shut.
func (b *bench) one(path string, all *ends) (open bool) {
	res, err := b.client.Get(b.base + path)
	if errors.Is(err, syscall.ECONNREFUSED) {
		return false
	}
	if err != nil {
		all.lost.Add(1)
		return true
	}
	switch size, err := drain(res); {
	case err != nil || size != res.ContentLength:
		all.lost.Add(1)
	case res.StatusCode != http.StatusOK:
		all.refused.Add(1)
	default:
		all.whole.Add(1)
	}
	return true
}
