package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/api/server"
)

// serveCmd answers over HTTP. Its options are there only where it is named: to
// describe them takes longer than much of what a short call does.
type serveCmd struct {
	Options kong.Plugins `embed:""`
}

func (s *serveCmd) run(ctx context.Context, c *console) api.Failure {
	return s.Options[0].(*serving).run(ctx, c)
}

// serving is the service with all that its operator may choose. Every flag has
// a variable of the same name, so that a container needs no arguments.
type serving struct {
	Listen    string `default:":8080" env:"REEDLARK_LISTEN" help:"Where to listen: host:port, or :port for every address of the machine."`
	Metrics   string `env:"REEDLARK_METRICS" placeholder:"ADDRESS" help:"Where a Prometheus finds /metrics, as 127.0.0.1:9090: a listener of its own, which no stranger should reach. Without it there is none."`
	PublicURL string `name:"public-url" env:"REEDLARK_PUBLIC_URL" placeholder:"URL" help:"Where callers find the service, as https://tab.example. Without it, where each call says."`

	Slots     int           `group:"Work" default:"0" least:"0" most:"1024" env:"REEDLARK_SLOTS" help:"Calls worked on at once, 0 to 1024; 0 for one a core."`
	Line      int           `group:"Work" default:"2" least:"1" most:"64" env:"REEDLARK_LINE" help:"Calls that may wait for each slot, 1 to 64."`
	Wait      time.Duration `group:"Work" default:"1s" least:"1ms" most:"1s" env:"REEDLARK_WAIT" help:"The longest wait, 1ms to 1s."`
	QuotaRate float64       `group:"Work" default:"0" least:"0" most:"1000000" env:"REEDLARK_QUOTA_RATE" help:"What one client gets back in a second, in voice-seconds, 0 to 1000000: a second of sound with one voice is about one, and whatever else is asked for counts as what it costs to make; 0 for no quota."`
	QuotaMost float64       `name:"quota-burst" group:"Work" default:"0" least:"0" most:"1000000000" env:"REEDLARK_QUOTA_BURST" help:"What one client may have at once, in voice-seconds, 0 to 1000000000; 0 for what a minute gives."`
	Proxy     []string      `group:"Work" env:"REEDLARK_PROXY" placeholder:"NETWORK" help:"Networks whose X-Forwarded-For is believed, as 10.0.0.0/8. Without it nobody's is."`
	Cache     int           `group:"Work" default:"33554432" least:"0" most:"68719476736" env:"REEDLARK_CACHE" help:"Bytes kept of what was made, 0 to 68719476736; 0 for none."`
	WriteRate int           `group:"Work" default:"4096" least:"16" most:"1048576" env:"REEDLARK_WRITE_RATE" help:"Bytes a second that a listener must take at least, 16 to 1048576."`

	Keys []string `env:"REEDLARK_KEYS" placeholder:"NAME:SECRET" help:"Serve sounds only at addresses signed with one of these keys; the secret is 16 to 64 bytes in base64. Better a variable than a flag, which others on the machine can read."`

	Drain time.Duration `group:"Closing" default:"1s" least:"0s" most:"10m" env:"REEDLARK_DRAIN" help:"How long to go on answering, no longer ready, once told to stop, 0s to 10m. A second signal stops at once."`
	Grace time.Duration `group:"Closing" default:"20s" least:"1ms" most:"1h" env:"REEDLARK_GRACE" help:"How long what is under way may take after that, 1ms to 1h."`

	MaxTab      int           `group:"Limits, which can only be lowered" default:"65536" least:"1" most:"65536" env:"REEDLARK_MAX_TAB" help:"Bytes of a tab, 1 to 65536."`
	MaxNotes    int           `group:"Limits, which can only be lowered" default:"20000" least:"1" most:"20000" env:"REEDLARK_MAX_NOTES" help:"Notes, once repeats are written out, 1 to 20000."`
	MaxDuration time.Duration `group:"Limits, which can only be lowered" default:"15m" least:"1s" most:"15m" env:"REEDLARK_MAX_DURATION" help:"Length of a sound, 1s to 15m."`
	MaxDepth    int           `group:"Limits, which can only be lowered" default:"4" least:"1" most:"4" env:"REEDLARK_MAX_DEPTH" help:"Braces in braces and repeats in repeats, 1 to 4."`
	MaxRepeat   int           `group:"Limits, which can only be lowered" default:"16" least:"1" most:"16" env:"REEDLARK_MAX_REPEAT" help:"Times round one repeat, as x16, 1 to 16."`
	MaxBeats    int           `group:"Limits, which can only be lowered" default:"256" least:"1" most:"256" env:"REEDLARK_MAX_BEATS" help:"Beats of one note, 1 to 256."`
	MaxTitle    int           `group:"Limits, which can only be lowered" default:"200" least:"1" most:"200" env:"REEDLARK_MAX_TITLE" help:"Characters of a title, 1 to 200."`

	LogJSON  bool   `name:"log-json" group:"What it tells" env:"REEDLARK_LOG_JSON" help:"Log in JSON, one object a line."`
	LogLevel string `group:"What it tells" default:"info" enum:"debug,info,warn,error" env:"REEDLARK_LOG_LEVEL" help:"What is worth a line: debug, info, warn or error. Calls are info, those about health debug."`
	Traces   string `group:"What it tells" env:"REEDLARK_TRACES,OTEL_EXPORTER_OTLP_ENDPOINT" placeholder:"URL" help:"An OpenTelemetry collector that is sent traces, as http://localhost:4318. The standard's variables for its headers, the sampler and the service's name are obeyed. Without it nothing is traced."`
	TracesBy string `name:"traces-headers" group:"What it tells" env:"REEDLARK_TRACES_HEADERS,OTEL_EXPORTER_OTLP_HEADERS" placeholder:"NAME=VALUE" help:"Header fields for the collector, with commas between."`
}

// run answers over HTTP until it is told to stop.
func (s *serving) run(ctx context.Context, c *console) api.Failure {
	log := s.log(c)
	err := s.serve(ctx, log)
	if err == nil {
		log.Info("stopped")
	}
	return c.fail("", err)
}

// serve puts the service together and runs it.
func (s *serving) serve(ctx context.Context, log *slog.Logger) error {
	cfg, err := s.config(log)
	if err != nil {
		return err
	}
	ln, err := listen(ctx, "listen", s.Listen)
	if err != nil {
		return err
	}
	watched, unwatch, err := s.observer(ctx, log)
	if err != nil {
		return errors.Join(err, ln.Close())
	}
	cfg.Observer = watched
	log.Info("listening", "address", ln.Addr().String())
	return errors.Join(server.Serve(ctx, ln, cfg), unwatch())
}
