package main

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"reedlark/api"
	"reedlark/api/server"
)

type serveCmd struct {
	Listen  string `default:":8080" env:"REEDLARK_LISTEN" placeholder:"ADDRESS" help:"Where to listen: host:port, or :port for every address of the machine."`
	Renders int    `default:"0" env:"REEDLARK_RENDERS" placeholder:"N" help:"Sounds rendered at once; 0 for one a core."`
	LogJSON bool   `name:"log-json" env:"REEDLARK_LOG_JSON" help:"Log in JSON, one object a line."`
}

// run answers over HTTP until it is told to stop.
func (s *serveCmd) run(ctx context.Context, c *console) api.Blame {
	if err := s.check(); err != nil {
		return c.fail("", err)
	}
	ln, err := (&net.ListenConfig{}).Listen(ctx, "tcp", s.Listen)
	if err != nil {
		return c.fail("", err)
	}
	log := slog.New(slog.NewTextHandler(c.stderr, nil))
	if s.LogJSON {
		log = slog.New(slog.NewJSONHandler(c.stderr, nil))
	}
	log.Info("listening", "address", ln.Addr().String())
	err = server.Serve(ctx, ln, server.Config{Log: log, Slots: s.Renders})
	if err == nil {
		log.Info("stopped")
	}
	return c.fail("", err)
}

func (s *serveCmd) check() error {
	if _, _, err := net.SplitHostPort(s.Listen); err != nil {
		return badAddress(s.Listen)
	}
	if s.Renders < 0 {
		return &api.CallError{Kind: api.NotAllowed, Parameter: "renders", Detail: fmt.Sprintf("renders is %d, but it may be 0 or more", s.Renders)}
	}
	return nil
}

func badAddress(text string) error {
	return &api.CallError{Kind: api.NotAllowed, Parameter: "listen", Detail: fmt.Sprintf("listen is %q, but it may be host:port or :port, as :8080", text)}
}

// healthCmd is for a container without a shell: the service's own program asks
// whether the service is well.
type healthCmd struct {
	Listen string `default:":8080" env:"REEDLARK_LISTEN" placeholder:"ADDRESS" help:"Where the service listens."`
}

const healthTime = 2 * time.Second

func (h *healthCmd) run(ctx context.Context, c *console) api.Blame {
	host, port, err := net.SplitHostPort(h.Listen)
	if err != nil {
		return c.fail("", badAddress(h.Listen))
	}
	switch host { // every address of the machine, so this one too
	case "", "0.0.0.0":
		host = "127.0.0.1"
	case "::":
		host = "::1"
	}
	ctx, stop := context.WithTimeout(ctx, healthTime)
	defer stop()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+net.JoinHostPort(host, port)+"/healthz", nil)
	if err != nil {
		return c.fail("", err)
	}
	answer, err := http.DefaultClient.Do(req)
	if err != nil {
		return c.fail("", err)
	}
	if err := answer.Body.Close(); err != nil {
		return c.fail("", err)
	}
	if answer.StatusCode != http.StatusOK {
		return c.fail("", fmt.Errorf("the service answers %s", answer.Status))
	}
	return api.Nobody
}
