package server

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"time"
)

// The time limits of a connection. A sound is sent as fast as its listener
// takes it, so what is limited is not the whole but each piece of it.
const (
	headerTime   = 5 * time.Second
	readTime     = 20 * time.Second
	pieceTime    = 30 * time.Second // to send the next piece of an answer
	idleTime     = 60 * time.Second
	shutdownTime = 15 * time.Second
)

// Serve answers on a listener until ctx ends; then it lets what is under way
// finish, for a while, and returns nil.
func Serve(ctx context.Context, ln net.Listener, cfg Config) error {
	if err := cfg.Check(); err != nil {
		return err
	}
	s := newServer(cfg.filled())
	srv := &http.Server{
		Handler:           s.handler(),
		ReadHeaderTimeout: headerTime,
		ReadTimeout:       readTime,
		WriteTimeout:      pieceTime,
		IdleTimeout:       idleTime,
		ErrorLog:          slog.NewLogLogger(s.cfg.Log.Handler(), slog.LevelWarn),
	}
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(ln) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	s.closing.Store(true)
	return shutDown(srv)
}

func shutDown(srv *http.Server) error {
	ctx, stop := context.WithTimeout(context.Background(), shutdownTime)
	defer stop()
	if err := srv.Shutdown(ctx); err != nil {
		return srv.Close()
	}
	return nil
}

// Handler is the HTTP interface without the listening, for a server of one's
// own.
func Handler(cfg Config) http.Handler { return newServer(cfg.filled()).handler() }
