package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"reedlark/api"
	"reedlark/api/server/httpx"
	"reedlark/openapi"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// listen serves a handler's whole server on a port of its own until the test
// ends, and says where.
func listen(t *testing.T) string {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- Serve(ctx, ln, quiet) }()
	t.Cleanup(func() {
		stop()
		require.NoError(t, <-done)
		http.DefaultClient.CloseIdleConnections()
	})
	return "http://" + ln.Addr().String()
}

func get(t *testing.T, url string) *http.Response {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	require.NoError(t, err)
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, res.Body.Close()) })
	return res
}

// What arrives over a real connection is what the door makes.
func TestSoundOverTheWire(t *testing.T) {
	base := listen(t)
	for _, query := range []string{tune, tune + "&depth=24&rate=22050", tune + "&channels=2&room=0.5", "tab=" + strings.Repeat("4+-4+5+6+", 60) + "&tempo=300"} {
		req, err := api.FromQuery(query)
		require.NoError(t, err)
		piece, err := api.Open(t.Context(), req)
		require.NoError(t, err)
		sound, err := piece.Sound(t.Context())
		require.NoError(t, err)
		var want bytes.Buffer
		require.NoError(t, sound.WriteTo(t.Context(), &want))

		res := get(t, base+"/v1/audio?"+query)
		require.Equal(t, sound.Size(), res.ContentLength)
		require.Empty(t, res.TransferEncoding)
		got, err := io.ReadAll(res.Body)
		require.NoError(t, err)
		require.True(t, bytes.Equal(want.Bytes(), got), query)
	}
}

func TestClosingLetsWorkFinish(t *testing.T) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- Serve(ctx, ln, quiet) }()
	res := get(t, "http://"+ln.Addr().String()+"/v1/audio?tab="+strings.Repeat("4+-4+5+6+", 100))
	stop()
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.Equal(t, res.ContentLength, int64(len(body)))
	require.NoError(t, <-done)
	http.DefaultClient.CloseIdleConnections()
}

func TestClosingIsNotReady(t *testing.T) {
	s := newService(quiet.filled())
	s.phase.Store(closing)
	rec := record(s.handler(), call{target: "/readyz"})
	require.Equal(t, http.StatusServiceUnavailable, rec.StatusCode)
	require.Equal(t, "1", rec.Header.Get("Retry-After"))
	require.Equal(t, http.StatusOK, record(s.handler(), call{target: "/healthz"}).StatusCode)
}

// broken is content that fails after some bytes.
type broken struct{ good int }

func (b broken) Size() int64 { return 1 << 20 }

func (b broken) WriteRange(_ context.Context, w io.Writer, _, _, _ int64) error {
	if b.good > 0 {
		if _, err := w.Write(make([]byte, b.good)); err != nil {
			return err
		}
	}
	return errors.New("a reed broke: secret")
}

func brokenAnswer(good int) httpx.Answer {
	return httpx.Answer{Media: "audio/wav", Tag: `"a"`, File: "a.wav", Open: func() (httpx.Content, error) { return broken{good}, nil }}
}

// serving is a server with one more route, which answers with some content.
func serving(log *slog.Logger, h echo.HandlerFunc) http.Handler {
	s := newService(Config{Log: log}.filled())
	e := s.handler().(*echo.Echo)
	e.GET("/test", h)
	return e
}

func TestFailureBeforeTheFirstByte(t *testing.T) {
	var log bytes.Buffer
	s := newService(quiet.filled())
	h := serving(slog.New(slog.NewTextHandler(&log, nil)), func(c echo.Context) error {
		return s.send(c, brokenAnswer(0))
	})
	ours(t, record(h, call{target: "/test"}), &log, "a reed broke")
}

func TestPanic(t *testing.T) {
	var log bytes.Buffer
	h := serving(slog.New(slog.NewTextHandler(&log, nil)), func(echo.Context) error { panic("a reed broke: secret") })
	ours(t, record(h, call{target: "/test"}), &log, "a reed broke")
}

// ours checks that a failure tells its caller a request id and nothing else,
// and the log the rest.
func ours(t *testing.T, res *http.Response, log *bytes.Buffer, logged string) {
	t.Helper()
	require.Equal(t, http.StatusInternalServerError, res.StatusCode)
	body := read(t, res)
	require.NotContains(t, body, "reed broke")
	var p openapi.Problem
	require.NoError(t, json.Unmarshal([]byte(body), &p))
	require.NotEmpty(t, *p.RequestId)
	require.Equal(t, "no-store", res.Header.Get("Cache-Control"))
	require.Empty(t, res.Header.Get("ETag"))
	require.Contains(t, log.String(), logged)
	require.Contains(t, log.String(), *p.RequestId)
}

// Half an answer must not look like a whole one: the connection breaks.
func TestFailureInTheMiddle(t *testing.T) {
	s := newService(quiet.filled())
	h := serving(quiet.Log, func(c echo.Context) error {
		return s.send(c, brokenAnswer(1000))
	})
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	srv := &http.Server{Handler: h, ErrorLog: slog.NewLogLogger(slog.DiscardHandler, slog.LevelError), ReadHeaderTimeout: time.Second}
	done := make(chan error, 1)
	go func() { done <- srv.Serve(ln) }()
	res, err := http.Get("http://" + ln.Addr().String() + "/test")
	if err == nil {
		_, err = io.ReadAll(res.Body)
		require.NoError(t, res.Body.Close())
	}
	require.Error(t, err)
	http.DefaultClient.CloseIdleConnections()
	require.NoError(t, srv.Close())
	require.ErrorIs(t, <-done, http.ErrServerClosed)
}

func TestLogHasNothingOfTheCaller(t *testing.T) {
	var log bytes.Buffer
	h := Handler(Config{Log: slog.New(slog.NewTextHandler(&log, nil))})
	for _, c := range []call{
		{target: "/v1/audio?tab=4+wibble+5"},
		{target: "/v1/wibble"},
		{target: "/v1/harps/wibble"},
		{target: "/v1/score?wibble=1"},
		{target: "/v1/tab", body: `{"tab":"wibble 4 5 6"}`},
		{method: "WIBBLE", target: "/v1/audio"},
		{target: "/v1/audio?tab=4", header: accept("wibble/4")},
	} {
		record(h, c)
	}
	require.Equal(t, 7, strings.Count(log.String(), "msg=request"))
	require.NotContains(t, strings.ToLower(log.String()), "wibble")
}
