package server

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// start serves until stop is called; done then tells how it ended.
func start(t *testing.T, cfg Config) (base string, stop func(), done <-chan error) {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- Serve(ctx, ln, cfg) }()
	t.Cleanup(http.DefaultClient.CloseIdleConnections)
	return "http://" + ln.Addr().String(), cancel, ended
}

// slowest is what the slowest machine needs for what takes a moment.
const slowest = time.Minute

func isReady(t *testing.T, base string) bool {
	return get(t, base+"/readyz").StatusCode == http.StatusOK
}

// Once told to close, a server is not ready, is still well, answers whoever
// comes all the same and asks them not to come again; then it takes nobody.
func TestDrain(t *testing.T) {
	const drain = 5 * time.Second // in which a slow machine has to answer a few calls
	base, stop, done := start(t, Config{Log: quiet.Log, Drain: drain})
	require.Eventually(t, func() bool { return isReady(t, base) }, slowest, time.Millisecond)
	require.False(t, get(t, base+"/v1/score?tab=4").Close)
	stop()
	require.Eventually(t, func() bool { return !isReady(t, base) }, drain, time.Millisecond)
	require.Equal(t, http.StatusOK, get(t, base+"/healthz").StatusCode)
	late := get(t, base+"/v1/score?tab=4")
	require.Equal(t, http.StatusOK, late.StatusCode)
	require.True(t, late.Close, "Connection: close")
	require.NoError(t, <-done)
	_, err := http.Get(base + "/healthz")
	require.Error(t, err)
}

// Grace ends, and the end is no success: the reader here never reads.
func TestGraceEnds(t *testing.T) {
	base, stop, done := start(t, Config{Log: quiet.Log, Grace: 50 * time.Millisecond})
	res := get(t, base+"/v1/audio?depth=24&channels=2&tab="+strings.Repeat("4+-4+5+6+", 300))
	stop()
	require.ErrorIs(t, <-done, context.DeadlineExceeded)
	_, err := io.Copy(io.Discard, res.Body)
	require.Error(t, err, "what was cut off does not look whole")
}

func TestReadyWithinNarrowLimits(t *testing.T) {
	for status, narrow := range map[int]api.Limits{http.StatusUnprocessableEntity: {Notes: 2}, http.StatusRequestEntityTooLarge: {Tab: 4}} {
		base, stop, done := start(t, Config{Log: quiet.Log, Limits: narrow})
		require.Eventually(t, func() bool { return isReady(t, base) }, slowest, time.Millisecond)
		require.Equal(t, status, get(t, base+"/v1/score?tab=4+4+4").StatusCode)
		stop()
		require.NoError(t, <-done)
	}
}

func TestWarmingIsNotReady(t *testing.T) {
	s := newService(quiet.filled())
	s.phase.Store(warming)
	require.Equal(t, http.StatusServiceUnavailable, record(s.handler(), call{target: "/readyz"}).StatusCode)
	require.NoError(t, s.warm(t.Context()))
	require.Equal(t, http.StatusOK, record(s.handler(), call{target: "/readyz"}).StatusCode)
}

// A request id is taken over only where it can stand in any log; one that is
// not is replaced, and none stands on an answer that a cache may keep.
func TestRequestIDs(t *testing.T) {
	for given, taken := range map[string]bool{
		"c0ffee": true, "3f2a.b-c_9": true, strings.Repeat("a", 64): true,
		strings.Repeat("a", 65): false, "": false, "-a": false, "a b": false, "a\tid=2": false, "a\"": false, "ä": false, "<b>": false,
	} {
		var log bytes.Buffer
		h := Handler(Config{Log: slog.New(slog.NewJSONHandler(&log, nil))})
		res := record(h, call{target: "/v1/score?tab=Q", header: map[string]string{"X-Request-Id": given}})
		id := res.Header.Get("X-Request-Id")
		require.Equal(t, taken, id == given, given)
		require.Regexp(t, `^[A-Za-z0-9._-]{1,64}$`, id)
		require.Contains(t, log.String(), `"id":"`+id+`"`)
		require.Contains(t, log.String(), `"code":"tab"`)
		require.Empty(t, record(h, call{target: "/v1/score?tab=4", header: map[string]string{"X-Request-Id": given}}).Header.Get("X-Request-Id"))
	}
}
