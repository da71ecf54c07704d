package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"reedlark/api"
	"reedlark/api/server"
	"reedlark/api/server/observe"
)

// observer is who watches the server, nobody unless it was asked for, and how
// to send them home.
func (s *serving) observer(ctx context.Context, log *slog.Logger) (server.Observer, func() error, error) {
	nothing := func() error { return nil }
	if s.Metrics == "" && s.Traces == "" {
		return server.Nobody{}, nothing, nil
	}
	metrics := observe.NewMetrics(api.EngineVersion())
	hide, err := s.show(ctx, metrics, log)
	if err != nil || s.Traces == "" {
		return metrics, hide, err
	}
	traces, err := s.trace(ctx, metrics, log)
	if err != nil {
		return nil, nil, errors.Join(err, hide())
	}
	return traces, func() error { return errors.Join(sendLast(traces), hide()) }, nil
}

// show answers whoever collects the figures, until it is told to stop: for
// longer than the server itself, so that its end can be seen.
func (s *serving) show(ctx context.Context, m *observe.Metrics, log *slog.Logger) (hide func() error, err error) {
	if s.Metrics == "" {
		return func() error { return nil }, nil
	}
	ln, err := listen(ctx, "metrics", s.Metrics)
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(context.WithoutCancel(ctx))
	ended := make(chan error, 1)
	go func() { ended <- m.Serve(ctx, ln) }()
	log.Info("metrics", "address", ln.Addr().String())
	return func() error { stop(); return <-ended }, nil
}

func (s *serving) trace(ctx context.Context, next server.Observer, log *slog.Logger) (*observe.Traces, error) {
	if err := collectorURL(s.Traces); err != nil {
		return nil, err
	}
	header, err := headerFields(s.TracesBy)
	if err != nil {
		return nil, err
	}
	return observe.NewTraces(ctx, next, observe.Collector{Endpoint: s.Traces, Header: header, Log: log})
}

// sendTime is how long the last spans may take.
const sendTime = 5 * time.Second

func sendLast(t *observe.Traces) error {
	ctx, stop := context.WithTimeout(context.Background(), sendTime)
	defer stop()
	return t.Close(ctx)
}
