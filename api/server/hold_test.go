package server

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

// However many listeners are slow, what is held for them is bounded.
func TestHeldIsBounded(t *testing.T) {
	seen := newCounting()
	s := newServer(Config{Log: quiet.Log, Observer: seen}.filled())
	h := s.handler()
	require.NoError(t, s.hold(mostHeld-1000))
	require.Equal(t, http.StatusOK, record(h, call{target: "/v1/tab?tab=4"}).StatusCode)
	for _, target := range []string{"/v1/picture?tab=4", "/v1/score?tab=4+5+6+7", "/v1/audio?tab=4+5+6+7"} {
		res := record(h, call{target: target})
		require.Equal(t, http.StatusServiceUnavailable, res.StatusCode, target)
		require.NotEmpty(t, res.Header.Get("Retry-After"))
		problem(t, res)
	}
	require.Equal(t, 3, seen.shed["memory"])
	s.letGo(mostHeld - 1000)
	require.Equal(t, http.StatusOK, record(h, call{target: "/v1/audio?tab=4+5+6+7"}).StatusCode)
	require.Zero(t, s.held.Load(), "all is let go")
}
