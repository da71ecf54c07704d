package main

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"unicode"

	"reedlark/api"
	"reedlark/api/server"
)

// config is what was chosen, as the server knows it. The error is a
// *api.CallError that names what is allowed.
func (s *serving) config(log *slog.Logger) (server.Config, error) {
	cfg := server.Config{
		Log: log, Slots: s.Slots, Line: s.Line, Wait: s.Wait,
		Quota:      server.Quota{Rate: s.QuotaRate, Burst: s.QuotaMost},
		CacheBytes: int64(s.Cache), WriteRate: s.WriteRate,
		Limits: api.Limits{
			Tab: s.MaxTab, Notes: s.MaxNotes, Duration: s.MaxDuration,
			Depth: s.MaxDepth, Repeat: s.MaxRepeat, Beats: s.MaxBeats, Title: s.MaxTitle,
		},
		Drain: s.Drain, Grace: s.Grace, PublicURL: s.PublicURL,
	}
	if s.Cache == 0 {
		cfg.CacheBytes = -1 // the server's word for none
	}
	for _, text := range s.Keys {
		key, err := server.ParseKey(text)
		if err != nil {
			return cfg, err
		}
		cfg.Keys = append(cfg.Keys, key)
	}
	for _, text := range s.Proxy {
		network, err := netip.ParsePrefix(text)
		if err != nil {
			return cfg, notAllowed("proxy", text, "networks as 10.0.0.0/8 or 2001:db8::/32, with commas between; one machine is 10.0.0.5/32")
		}
		cfg.Proxy = append(cfg.Proxy, network)
	}
	return cfg, cfg.Check()
}

// log writes to standard error, as much as was asked for.
func (s *serving) log(c *console) *slog.Logger {
	var level slog.Level
	_ = level.UnmarshalText([]byte(s.LogLevel)) // the flag allows only levels
	options := &slog.HandlerOptions{Level: level}
	if s.LogJSON {
		return slog.New(slog.NewJSONHandler(c.stderr, options))
	}
	return slog.New(slog.NewTextHandler(c.stderr, options))
}

// listen takes a port; name is that of the flag.
func listen(ctx context.Context, name, address string) (net.Listener, error) {
	if _, _, err := net.SplitHostPort(address); err != nil {
		return nil, badAddress(name, address)
	}
	return (&net.ListenConfig{}).Listen(ctx, "tcp", address)
}

func badAddress(name, text string) error {
	return notAllowed(name, text, "host:port, or :port for every address of the machine, as :8080")
}

// notAllowed refuses the value of a flag that no bounds can describe.
func notAllowed(name, text, allowed string) error {
	return &api.CallError{
		Kind: api.NotAllowed, Parameter: name, Allowed: allowed,
		Detail: fmt.Sprintf("%s is %q, but it may be %s", name, text, allowed),
	}
}

// collectorURL checks where traces are sent.
func collectorURL(text string) error {
	u, err := url.Parse(text)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return notAllowed("traces", text, "the address of a collector, as http://localhost:4318")
	}
	return nil
}

// headerFields reads name=value pairs with commas between. ref: OpenTelemetry
// specification, OTLP exporter, "Specifying headers via environment variables";
// W3C Baggage, so the values are percent-coded; RFC 9110, section 5.6.2, tokens.
func headerFields(text string) (http.Header, error) {
	const marks = "!#$&'*+.^_`|~-"
	out := http.Header{}
	for pair := range strings.SplitSeq(text, ",") {
		name, code, found := strings.Cut(strings.TrimSpace(pair), "=")
		if name == "" && !found {
			continue
		}
		value, err := url.PathUnescape(code)
		bad := func(r rune) bool {
			return !strings.ContainsRune(marks, r) && (r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r))
		}
		if name == "" || !found || err != nil || strings.ContainsFunc(name, bad) || strings.ContainsFunc(value, unicode.IsControl) {
			return nil, badFields()
		}
		out.Set(name, value)
	}
	return out, nil
}

// badFields does not repeat the fields, which hold secrets.
func badFields() error {
	return notAllowed("traces-headers", "…", "name=value pairs with commas between, the values percent-coded")
}
