package server

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

// However many listeners are slow, what is held for them is bounded.
func TestHeldIsBounded(t *testing.T) {
	seen := newCounting()
	s := newService(Config{Log: quiet.Log, Observer: seen}.filled())
	h := s.handler()
	require.True(t, s.memory.Spare(mostHeld-1000, 1))
	require.Equal(t, http.StatusOK, record(h, call{target: "/v1/tab?tab=4"}).StatusCode)
	for _, target := range []string{"/v1/picture?tab=4", "/v1/score?tab=4+5+6+7", "/v1/audio?tab=4+5+6+7"} {
		res := record(h, call{target: target})
		require.Equal(t, http.StatusServiceUnavailable, res.StatusCode, target)
		require.NotEmpty(t, res.Header.Get("Retry-After"))
		problem(t, res)
	}
	require.Equal(t, 3, seen.shed["memory"])
	s.memory.Release(mostHeld - 1000)
	require.Equal(t, http.StatusOK, record(h, call{target: "/v1/audio?tab=4+5+6+7"}).StatusCode)
	require.Zero(t, s.memory.Held(), "all is let go")
}
