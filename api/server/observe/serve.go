package observe

import (
	"context"
	"errors"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Handler answers GET /metrics and nothing else.
func (m *Metrics) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{MaxRequestsInFlight: 4}))
	return mux
}

// scrapeTime is what each step of an answer may take.
const scrapeTime = 10 * time.Second

// Serve answers on a listener of its own, so that nobody outside can ask, until
// ctx ends.
func (m *Metrics) Serve(ctx context.Context, ln net.Listener) error {
	srv := &http.Server{Handler: m.Handler(), ReadTimeout: scrapeTime, WriteTimeout: scrapeTime, IdleTimeout: time.Minute}
	defer context.AfterFunc(ctx, func() { _ = srv.Close() })()
	if err := srv.Serve(ln); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
