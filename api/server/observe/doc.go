// Package observe shows those who run a server what it does: figures that a
// Prometheus collects, and traces that an OpenTelemetry collector is sent.
//
// A server tells an [server.Observer] what happens, in a few words of its own
// and in numbers, never with anything a caller wrote. So every label here has
// few values, and neither figures nor traces grow with what callers ask for.
//
//	metrics := observe.NewMetrics()             // counts; metrics.Serve answers a Prometheus
//	traces, err := observe.NewTraces(metrics, …) // counts and traces
//
// ref: Prometheus, "Metric and label naming"; OpenTelemetry protocol 1.x (OTLP).
package observe
