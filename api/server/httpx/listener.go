package httpx

import (
	"context"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"syscall"
	"time"
)

// Listener is a listener that, when it is closed by [Listener.Drain], first accepts
// every connection that is already waiting. A plain one would reset those: the
// system connects callers before the program accepts them.
type Listener struct {
	net.Listener
	draining atomic.Bool
	last     time.Time // until when it accepts those that keep coming
}

const drainTime = time.Second

// pollable is a listener that can tell whether somebody waits. TCP's can.
type pollable interface {
	syscall.Conn
	SetDeadline(t time.Time) error
}

// Drain makes Accept fail with [net.ErrClosed] once nobody waits.
func (l *Listener) Drain() error {
	p, ok := l.Listener.(pollable)
	if !ok {
		return l.Close()
	}
	l.last = time.Now().Add(drainTime)
	l.draining.Store(true)
	return p.SetDeadline(time.Now()) // wakes Accept
}

// Accept waits for the next connection.
func (l *Listener) Accept() (net.Conn, error) {
	if !l.draining.Load() {
		conn, err := l.Listener.Accept()
		if err == nil || !l.draining.Load() {
			return conn, err
		}
	}
	p, ok := l.Listener.(pollable)
	if !ok || time.Now().After(l.last) || shutIfEmpty(p) {
		return nil, net.ErrClosed
	}
	if err := p.SetDeadline(l.last); err != nil {
		return nil, err
	}
	return l.Listener.Accept()
}

// Conns are the connections on which an answer is due. [http.Server.Shutdown] drops
// a request that has just arrived on an idle connection; Wait waits for it.
type Conns struct {
	mu   sync.Mutex
	busy map[net.Conn]struct{}
}

// NewConns is for one server.
func NewConns() *Conns { return &Conns{busy: map[net.Conn]struct{}{}} }

// Note is the server's ConnState.
func (c *Conns) Note(conn net.Conn, state http.ConnState) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if state == http.StateNew || state == http.StateActive {
		c.busy[conn] = struct{}{}
	} else {
		delete(c.busy, conn)
	}
}

func (c *Conns) idle() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return len(c.busy) == 0
}

const pollTime = 2 * time.Millisecond

// Wait returns when no answer is due any more, or ctx ends.
func (c *Conns) Wait(ctx context.Context) {
	poll := time.NewTicker(pollTime)
	defer poll.Stop()
	for !c.idle() {
		select {
		case <-ctx.Done():
			return
		case <-poll.C:
		}
	}
}
