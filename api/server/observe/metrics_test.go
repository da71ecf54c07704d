package observe_test

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"
	"github.com/stretchr/testify/require"

	"reedlark/api/server"
	"reedlark/api/server/observe"
)

// scrape asks for the figures and reads them with Prometheus's own parser.
func scrape(t *testing.T, m *observe.Metrics) map[string]float64 {
	t.Helper()
	rec := httptest.NewRecorder()
	m.Handler().ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	require.Equal(t, http.StatusOK, rec.Code)
	parser := expfmt.NewTextParser(model.LegacyValidation)
	families, err := parser.TextToMetricFamilies(rec.Body)
	require.NoError(t, err)
	out := map[string]float64{}
	for name, f := range families {
		for _, one := range f.Metric {
			labels := make([]string, len(one.Label))
			for i, l := range one.Label {
				labels[i] = l.GetName() + "=" + l.GetValue()
			}
			key := name + "{" + strings.Join(labels, ",") + "}"
			out[key] = one.GetCounter().GetValue() + one.GetGauge().GetValue() + float64(one.GetHistogram().GetSampleCount())
		}
	}
	return out
}

// watched is a server that a Metrics watches.
func watched() (*observe.Metrics, func(method, target string, header ...string) int) {
	m := observe.NewMetrics("1")
	h := server.Handler(server.Config{Log: slog.New(slog.DiscardHandler), Observer: m})
	return m, func(method, target string, header ...string) int {
		r := httptest.NewRequest(method, target, nil)
		for i := 0; i < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		rec := httptest.NewRecorder()
		h.ServeHTTP(rec, r)
		return rec.Code
	}
}

func TestCallsAreCounted(t *testing.T) {
	m, call := watched()
	require.Equal(t, http.StatusOK, call(http.MethodGet, "/v1/audio?tab=4"))
	require.Equal(t, http.StatusOK, call(http.MethodGet, "/v1/audio?tab=5"))
	require.Equal(t, http.StatusUnprocessableEntity, call(http.MethodGet, "/v1/score?tab=4+Q+5"))
	require.Equal(t, http.StatusNotFound, call(http.MethodGet, "/v1/harps/H"))
	got := scrape(t, m)
	require.Equal(t, 2.0, got["reedlark_http_requests_total{method=GET,resource=/v1/audio,status=200}"])
	require.Equal(t, 1.0, got["reedlark_http_requests_total{method=GET,resource=/v1/score,status=422}"])
	require.Equal(t, 1.0, got["reedlark_http_requests_total{method=GET,resource=/v1/harps/:key,status=404}"])
	require.Equal(t, 2.0, got["reedlark_http_request_duration_seconds{resource=/v1/audio}"])
	require.Greater(t, got["reedlark_http_response_bytes_total{resource=/v1/audio}"], 50_000.0)
	require.Zero(t, got["reedlark_http_requests_in_flight{}"])
	require.Equal(t, 3.0, got["reedlark_queue_wait_seconds{}"], "three calls were let in")
	require.Equal(t, 3.0, got["reedlark_stage_duration_seconds{stage=parse}"])
	require.Equal(t, 2.0, got["reedlark_stage_duration_seconds{stage=write}"])
	require.Positive(t, got["reedlark_rendered_sound_seconds_total{}"])
	require.Positive(t, got["reedlark_tab_diagnostics_total{code=unknown-word,severity=error}"])
	require.Positive(t, got["reedlark_cache_lookups_total{kind=sound,result=miss}"])
	require.Equal(t, 1.0, got["reedlark_build_info{engine=1}"])
	require.Positive(t, got["go_goroutines{}"])
	require.Positive(t, got["process_open_fds{}"])
}

// Nothing a caller writes becomes a label: however many different calls come,
// the figures do not get more.
func TestLabelsAreBounded(t *testing.T) {
	m, call := watched()
	storm := func(n int) {
		word := fmt.Sprintf("w%d", n)
		call(http.MethodGet, "/"+word)
		call(http.MethodGet, "/v1/"+word)
		call(http.MethodGet, "/v1/harps/"+word)
		call(http.MethodGet, "/assets/"+word)
		call(http.MethodGet, "/notes/"+word)
		call(http.MethodGet, "/v1/audio?tab=4&"+word+"=1")
		call(http.MethodGet, "/v1/audio?tab=4+"+word)
		call(strings.ToUpper(word), "/v1/audio")
		call(http.MethodGet, "/v1/score?tab=4", "Accept", word+"/x", "X-Request-Id", word, "Host", word, "User-Agent", word)
	}
	storm(0)
	before := scrape(t, m)
	for n := range 100 {
		storm(n)
	}
	after := scrape(t, m)
	for name := range after {
		require.True(t, strings.HasPrefix(name, "go_") || hasKey(before, name), "grew by %s", name)
	}
}

func hasKey(m map[string]float64, key string) bool { _, ok := m[key]; return ok }

// The names are as Prometheus wants names to be. ref: its own linter.
func TestNames(t *testing.T) {
	m, call := watched()
	call(http.MethodGet, "/v1/audio?tab=4")
	rec := httptest.NewRecorder()
	m.Handler().ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	found, err := promlint.New(rec.Body).Lint()
	require.NoError(t, err)
	require.Empty(t, found)
}

func TestListener(t *testing.T) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- observe.NewMetrics("1").Serve(ctx, ln) }()
	base := "http://" + ln.Addr().String()
	for path, status := range map[string]int{"/metrics": http.StatusOK, "/": http.StatusNotFound, "/debug/pprof/": http.StatusNotFound, "/v1/score?tab=4": http.StatusNotFound} {
		res, err := http.Get(base + path)
		require.NoError(t, err)
		_, err = io.Copy(io.Discard, res.Body)
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		require.Equal(t, status, res.StatusCode, path)
	}
	stop()
	require.NoError(t, <-done)
	http.DefaultClient.CloseIdleConnections()
}
