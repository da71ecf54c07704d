package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"reedlark/api/server/httpx"
)

// The time limits of a connection. A sound is sent as fast as its reader takes it, so
// it is not the whole answer that is limited but each piece of it.
const (
	headerTime = 5 * time.Second
	readTime   = 20 * time.Second
	pieceTime  = 30 * time.Second // to send the next piece of an answer
	idleTime   = 60 * time.Second
)

// httpServer is the server with its limits of time and size.
func (s *service) httpServer() *http.Server {
	return &http.Server{
		Handler:           s.handler(),
		ReadHeaderTimeout: headerTime,
		ReadTimeout:       readTime,
		WriteTimeout:      pieceTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    headerBytes,
		// OPTIONS * has the fields of every other answer.
		DisableGeneralOptionsHandler: true,
		ErrorLog:                     slog.NewLogLogger(s.cfg.Log.Handler(), slog.LevelWarn),
	}
}

// headerBytes is how much of a header is read: the longest URL and some fields.
// net/http adds 4 KiB of its own.
const headerBytes = 32 << 10

// Serve answers on a listener until ctx ends. Then it is not ready, so that load
// balancers send it no more work; it goes on answering for cfg.Drain, then accepts no
// new connections, and lets calls under way finish within cfg.Grace. The error is nil
// if all of them did.
func Serve(ctx context.Context, ln net.Listener, cfg Config) error {
	if err := cfg.Check(); err != nil {
		return err
	}
	s := newService(cfg.filled())
	s.phase.Store(warming)
	srv, conns := s.httpServer(), httpx.NewConns()
	srv.ConnState = conns.Note
	ended := make(chan error, 1)
	draining := &httpx.Listener{Listener: ln}
	go func() { ended <- srv.Serve(draining) }()
	if err := s.warm(ctx); err != nil {
		return errors.Join(err, srv.Close())
	}
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	s.phase.Store(closing)
	time.Sleep(s.cfg.Drain)
	if err := draining.Drain(); err != nil {
		return errors.Join(err, srv.Close())
	}
	if err := <-ended; !errors.Is(err, net.ErrClosed) {
		return errors.Join(err, srv.Close())
	}
	return s.finish(srv, conns)
}

// first are the requests that warm the server up: every reed of a harp, and a page.
var first = []string{
	"/v1/audio?tab=1+-1+2+-2+3+-3+4+-4+5+-5+6+-6+7+-7+8+-8+9+-9+10+-10+-3'+45+4~+6---",
	"/v1/score?tab=4+-4+5", "/v1/picture?tab=4+-4+5", "/?tab=4+-4+5",
}

// rounds is how often they are made; after the third nothing gets any faster.
const rounds = 3

// warm makes the usual requests, so that what is made once for all calls is there
// before anyone waits for it. These requests are neither logged nor counted, and
// their answers are not kept.
func (s *service) warm(ctx context.Context) error {
	defer s.phase.CompareAndSwap(warming, open)
	cfg := s.cfg
	cfg.Log, cfg.Observer, cfg.Keys, cfg.Quota = slog.New(slog.DiscardHandler), Nobody{}, nil, Quota{}
	beside := newService(cfg)
	beside.door = s.door
	h := beside.handler()
	for i := 0; i < rounds*len(first) && ctx.Err() == nil; i++ {
		address := first[i%len(first)]
		r, err := http.NewRequestWithContext(context.WithoutCancel(ctx), http.MethodGet, address, nil)
		if err != nil {
			return err
		}
		r.RequestURI = address
		nowhere := &nowhere{header: http.Header{}}
		h.ServeHTTP(nowhere, r)
		if nowhere.status >= http.StatusInternalServerError {
			return fmt.Errorf("the first calls: %s is answered %d", address, nowhere.status)
		}
	}
	return nil
}

// nowhere discards an answer.
type nowhere struct {
	header http.Header
	status int
}

func (n *nowhere) Header() http.Header         { return n.header }
func (n *nowhere) WriteHeader(status int)      { n.status = status }
func (n *nowhere) Write(b []byte) (int, error) { return len(b), nil }

// finish waits for calls under way, for the grace period at most.
func (s *service) finish(srv *http.Server, conns *httpx.Conns) error {
	ctx, stop := context.WithTimeout(context.Background(), s.cfg.Grace)
	defer stop()
	conns.Wait(ctx)
	if err := srv.Shutdown(ctx); err != nil {
		return errors.Join(fmt.Errorf("calls were cut off after %s: %w", s.cfg.Grace, err), srv.Close())
	}
	return nil
}
