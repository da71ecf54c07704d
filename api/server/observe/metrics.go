package observe

import (
	"context"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"

	"reedlark/api/server"
)

// Metrics counts what a server does.
type Metrics struct {
	registry *prometheus.Registry

	requests *prometheus.CounterVec
	took     *prometheus.HistogramVec
	bytes    *prometheus.CounterVec
	inFlight prometheus.Gauge
	waited   prometheus.Histogram
	stages   *prometheus.HistogramVec
	rendered prometheus.Counter
	cache    *prometheus.CounterVec
	shed     *prometheus.CounterVec
	problems *prometheus.CounterVec
}

var _ server.Observer = (*Metrics)(nil)

// Where the bars of the histograms end, seconds: a score takes about a
// millisecond, a long sound to a slow listener minutes.
var (
	callTimes = prometheus.ExponentialBuckets(0.001, 4, 10) // to about 4 minutes
	workTimes = prometheus.ExponentialBuckets(0.0001, 4, 9) // to about 6 seconds
)

// NewMetrics makes figures that start at nought, with those of the process and
// of Go beside them; one names the engine, whose version it is told.
func NewMetrics(engine string) *Metrics {
	m := &Metrics{
		registry: prometheus.NewRegistry(),
		requests: counters("http_requests_total", "Calls answered.", "resource", "method", "status"),
		took:     times("http_request_duration_seconds", "From the first byte of a call to the last of its answer.", callTimes, "resource"),
		bytes:    counters("http_response_bytes_total", "Bytes of answers, without their header fields.", "resource"),
		inFlight: prometheus.NewGauge(prometheus.GaugeOpts{Namespace: "reedlark", Name: "http_requests_in_flight", Help: "Calls not answered yet."}),
		waited: prometheus.NewHistogram(prometheus.HistogramOpts{
			Namespace: "reedlark", Name: "queue_wait_seconds", Help: "What calls waited for a slot.", Buckets: workTimes,
		}),
		stages:   times("stage_duration_seconds", "What each part of the work took.", workTimes, "stage"),
		rendered: prometheus.NewCounter(prometheus.CounterOpts{Namespace: "reedlark", Name: "rendered_sound_seconds_total", Help: "Seconds of sound made."}),
		cache:    counters("cache_lookups_total", "What was asked of the cache.", "kind", "result"),
		shed:     counters("shed_total", "Calls refused for want of room.", "reason"),
		problems: counters("tab_diagnostics_total", "What was wrong or doubtful in tabs.", "severity", "code"),
	}
	build := prometheus.NewGauge(prometheus.GaugeOpts{
		Namespace: "reedlark", Name: "build_info", Help: "1; the label names the sound.", ConstLabels: prometheus.Labels{"engine": engine},
	})
	build.Set(1)
	m.registry.MustRegister(
		m.requests, m.took, m.bytes, m.inFlight, m.waited, m.stages, m.rendered, m.cache, m.shed, m.problems, build,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
	)
	return m
}

func counters(name, help string, labels ...string) *prometheus.CounterVec {
	return prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: "reedlark", Name: name, Help: help}, labels)
}

func times(name, help string, buckets []float64, label string) *prometheus.HistogramVec {
	return prometheus.NewHistogramVec(prometheus.HistogramOpts{Namespace: "reedlark", Name: name, Help: help, Buckets: buckets}, []string{label})
}

// Began counts a call in flight.
func (m *Metrics) Began(ctx context.Context, _, _ string) context.Context {
	m.inFlight.Inc()
	return ctx
}

// Answered counts a call that is over.
func (m *Metrics) Answered(_ context.Context, a server.Answer) {
	m.inFlight.Dec()
	m.requests.WithLabelValues(a.Resource, a.Method, strconv.Itoa(a.Status)).Inc()
	m.took.WithLabelValues(a.Resource).Observe(a.Took.Seconds())
	m.bytes.WithLabelValues(a.Resource).Add(float64(a.Bytes))
}

// Waited counts what a call waited for a slot.
func (m *Metrics) Waited(d time.Duration) { m.waited.Observe(d.Seconds()) }

// Rendered counts seconds of sound.
func (m *Metrics) Rendered(seconds float64) { m.rendered.Add(seconds) }

// Cached counts a look into the cache.
func (m *Metrics) Cached(kind string, hit bool) {
	result := "miss"
	if hit {
		result = "hit"
	}
	m.cache.WithLabelValues(kind, result).Inc()
}

// Shed counts a call refused for want of room.
func (m *Metrics) Shed(reason string) { m.shed.WithLabelValues(reason).Inc() }

// Problem counts a diagnostic.
func (m *Metrics) Problem(severity, code string) { m.problems.WithLabelValues(severity, code).Inc() }

// Stage times a part of the work.
func (m *Metrics) Stage(ctx context.Context, name string) (context.Context, func(error)) {
	began := time.Now()
	return ctx, func(error) { m.stages.WithLabelValues(name).Observe(time.Since(began).Seconds()) }
}
