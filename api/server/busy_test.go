package server

import (
	"net/http"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"reedlark/api/server/admit"
)

// busy gives a service some jobs that have much to do and are due before any that
// come later; done ends them.
func busy(t testing.TB, s *service, jobs int) (done func()) {
	t.Helper()
	const left = 100 * time.Millisecond
	var all []*admit.Job
	for range jobs {
		j := s.queue.NewJob()
		j.Commit()
		require.NoError(t, j.Expect(left))
		all = append(all, j)
	}
	time.Sleep(5 * left)
	return func() {
		for _, j := range all {
			j.Leave()
		}
	}
}

// ref: RFC 9110, section 10.2.3, and RFC 6585.
func TestBusy(t *testing.T) {
	s := newService(Config{Log: quiet.Log, Slots: 1, Line: 1}.filled())
	done := busy(t, s, 2)
	seen := map[int]bool{}
	for _, target := range []string{"/v1/score?tab=4", "/v1/audio?tab=4", "/v1/picture?tab=4", "/v1/tab?tab=4"} {
		for range 8 {
			res := record(s.handler(), call{target: target})
			require.Equal(t, http.StatusServiceUnavailable, res.StatusCode)
			n, err := strconv.Atoi(res.Header.Get("Retry-After"))
			require.NoError(t, err)
			seen[n] = true
			problem(t, res)
		}
	}
	require.Greater(t, len(seen), 1, "they do not all come back at once")
	for _, path := range []string{"/healthz", "/readyz", "/v1/harps", "/openapi.yaml"} {
		require.Equal(t, http.StatusOK, record(s.handler(), call{target: path}).StatusCode, path)
	}
	done()
	require.Equal(t, http.StatusOK, record(s.handler(), call{target: "/v1/score?tab=4"}).StatusCode)
}
