package server

import (
	"context"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"syscall"
	"time"
)

// entrance is a listener that, when it is shut, first lets in everybody who is
// already waiting there. A plain one would reset them: the system connects
// callers before the program takes them, and a busy program takes them late.
type entrance struct {
	net.Listener
	shutting atomic.Bool
	last     time.Time // until when it lets in those who keep coming
}

const lastCall = time.Second

// queue is what tells whether someone waits. A listener of TCP has it.
type queue interface {
	syscall.Conn
	SetDeadline(t time.Time) error
}

// shut makes Accept end once nobody waits.
func (e *entrance) shut() error {
	q, ok := e.Listener.(queue)
	if !ok {
		return e.Close()
	}
	e.last = time.Now().Add(lastCall)
	e.shutting.Store(true)
	return q.SetDeadline(time.Now()) // wakes Accept
}

// Accept is net.ErrClosed once the entrance is shut and nobody waits.
func (e *entrance) Accept() (net.Conn, error) {
	if !e.shutting.Load() {
		conn, err := e.Listener.Accept()
		if err == nil || !e.shutting.Load() {
			return conn, err
		}
	}
	q, ok := e.Listener.(queue)
	if !ok || time.Now().After(e.last) || locked(q) {
		return nil, net.ErrClosed
	}
	if err := q.SetDeadline(e.last); err != nil {
		return nil, err
	}
	return e.Listener.Accept()
}

// guests are the connections on which an answer is expected. The library's own
// shutting down drops a call that has just arrived, without a word; so those
// have to be waited for before.
type guests struct {
	mu   sync.Mutex
	busy map[net.Conn]struct{}
}

func newGuests() *guests { return &guests{busy: map[net.Conn]struct{}{}} }

// note is told of every change in the life of a connection.
func (g *guests) note(c net.Conn, now http.ConnState) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if now == http.StateNew || now == http.StateActive {
		g.busy[c] = struct{}{}
	} else {
		delete(g.busy, c)
	}
}

func (g *guests) served() bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	return len(g.busy) == 0
}

const lookTime = 2 * time.Millisecond

// wait returns when all are served or ctx ends.
func (g *guests) wait(ctx context.Context) {
	for look := time.NewTicker(lookTime); !g.served(); {
		select {
		case <-ctx.Done():
			return
		case <-look.C:
		}
	}
}
