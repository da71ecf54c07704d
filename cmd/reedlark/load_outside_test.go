//go:build outside

package main

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// These are short forms of the trials of testdata/load: what they count does not
// depend on how fast the machine is.

// twenty is the address of a sound of twenty seconds; every n is another.
func (s *service) twenty(n int) string {
	return fmt.Sprintf("%s/v1/audio?tempo=120&tab=%s&loudness=-16.%06d", s.base, strings.Repeat("4+-4+5+-5+", 10), n)
}

// answered reads a whole answer.
func answered(t *testing.T, url string) (status int, res *http.Response) {
	res, err := http.Get(url)
	if !assert.NoError(t, err) {
		return 0, &http.Response{}
	}
	size, err := io.Copy(io.Discard, res.Body)
	_ = res.Body.Close() // read to its end
	assert.NoError(t, err)
	assert.True(t, res.ContentLength < 0 || res.ContentLength == size, "%d bytes of %d", size, res.ContentLength)
	return res.StatusCode, res
}

// Far more is asked for than can be done: some is done, the rest refused in the
// way a client understands, health answers meanwhile, and all is well after.
func TestOverload(t *testing.T) {
	s := serve(t, "--slots=1", "--line=2", "--drain=0s", "--metrics=127.0.0.1:0")
	var calls sync.WaitGroup
	var mu sync.Mutex
	count := map[int]int{}
	for n := range 400 {
		time.Sleep(time.Millisecond)
		calls.Go(func() {
			status, res := answered(t, s.twenty(n))
			if status == http.StatusServiceUnavailable {
				after, err := strconv.Atoi(res.Header.Get("Retry-After"))
				assert.NoError(t, err)
				assert.Positive(t, after)
				assert.Equal(t, "no-store", res.Header.Get("Cache-Control"))
				assert.Equal(t, "application/problem+json", res.Header.Get("Content-Type"))
			}
			mu.Lock()
			count[status]++
			mu.Unlock()
		})
		if n%20 == 0 {
			assert.Equal(t, http.StatusOK, s.status("/healthz"))
			assert.Equal(t, http.StatusOK, s.status("/readyz"))
		}
	}
	calls.Wait()
	assert.Equal(t, 400, count[http.StatusOK]+count[http.StatusServiceUnavailable], count)
	assert.Positive(t, count[http.StatusOK])
	assert.Positive(t, count[http.StatusServiceUnavailable])
	shed := s.figure(t, `reedlark_shed_total{reason="line"}`) + s.figure(t, `reedlark_shed_total{reason="work"}`) + s.figure(t, `reedlark_shed_total{reason="wait"}`)
	assert.Equal(t, float64(count[http.StatusServiceUnavailable]), shed, "each refusal is counted, by its reason")
	for n := range 10 {
		status, _ := answered(t, s.twenty(1000+n))
		assert.Equal(t, http.StatusOK, status)
	}
	stopped(t, s)
}

// A class opens one page: two hundred calls for one new sound, rendered once.
func TestCrowd(t *testing.T) {
	s := serve(t, "--metrics=127.0.0.1:0", "--drain=0s")
	before := s.rendered(t)
	var calls sync.WaitGroup
	for range 200 {
		calls.Go(func() {
			status, _ := answered(t, s.twenty(0))
			assert.Equal(t, http.StatusOK, status)
		})
	}
	calls.Wait()
	_, one := answered(t, s.twenty(0))
	const header, bytesASecond = 44, 2 * 48000
	assert.InDelta(t, float64(one.ContentLength-header)/bytesASecond, s.rendered(t)-before, 0.01)
	stopped(t, s)
}

// Four strangers who read slowly and two hundred who never end their headers do
// not keep anybody else from being served, with one slot.
func TestStrangersCostNothing(t *testing.T) {
	s := serve(t, "--slots=1", "--drain=0s", "--grace=100ms")
	address := strings.TrimPrefix(s.base, "http://")
	for i := range 204 {
		conn, err := net.Dial("tcp", address)
		require.NoError(t, err)
		t.Cleanup(func() { _ = conn.Close() })
		text := "GET /healthz HTTP/1.1\r\nHost: here\r\nX: "
		if i < 4 { // a sound too large for any socket, of which nothing is read
			text = fmt.Sprintf("GET /v1/audio?depth=24&channels=2&tempo=20&loudness=-15.%d&tab=%s HTTP/1.1\r\nHost: here\r\n\r\n", i, strings.Repeat("4+-4+5+-5+", 60))
		}
		_, err = io.WriteString(conn, text)
		require.NoError(t, err)
	}
	for n := range 50 {
		status, _ := answered(t, s.twenty(n))
		require.Equal(t, http.StatusOK, status, "call %d", n)
	}
	require.NoError(t, s.Process.Signal(syscall.SIGTERM))
	require.Equal(t, 3, s.exit(), "those who were cut off are told of")
}

func stopped(t *testing.T, s *service) {
	t.Helper()
	http.DefaultClient.CloseIdleConnections()
	require.NoError(t, s.Process.Signal(syscall.SIGTERM))
	require.Zero(t, s.exit())
}

// rendered is how many seconds of sound were made.
func (s *service) rendered(t *testing.T) float64 {
	t.Helper()
	return s.figure(t, "reedlark_rendered_sound_seconds_total")
}

// figure is one of the metrics, by its name and labels as they are written; one
// that was never counted is 0.
func (s *service) figure(t *testing.T, name string) float64 {
	t.Helper()
	res, err := http.Get(s.figures + "/metrics")
	require.NoError(t, err)
	text, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Contains(t, string(text), "reedlark_build_info")
	found := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(name) + ` (\S+)$`).FindSubmatch(text)
	if found == nil {
		return 0
	}
	value, err := strconv.ParseFloat(string(found[1]), 64)
	require.NoError(t, err)
	return value
}
