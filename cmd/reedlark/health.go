package main

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"time"

	"reedlark/api"
)

// healthCmd is for a container without a shell: the service's own program asks
// whether the service is well.
type healthCmd struct {
	Listen string `default:":8080" env:"REEDLARK_LISTEN" placeholder:"ADDRESS" help:"Where the service listens."`
}

const healthTime = 2 * time.Second

func (h *healthCmd) run(ctx context.Context, c *console) api.Failure {
	host, port, err := net.SplitHostPort(h.Listen)
	if err != nil {
		return c.fail("", badAddress("listen", h.Listen))
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
	return api.NoFailure
}
