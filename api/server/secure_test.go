package server

import (
	"net/http"
	"strings"
	"testing"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"
)

// Whatever is answered, at every route, by every method, well or ill, has what
// keeps a browser safe.
func TestEveryAnswerIsSecure(t *testing.T) {
	e := serving(quiet.Log, func(echo.Context) error { panic("a reed broke") }).(*echo.Echo)
	require.Greater(t, len(e.Routes()), 25)
	statuses := map[int]bool{}
	for _, r := range e.Routes() {
		path := strings.NewReplacer(":key", "C", ":note", "C4", ":name", "app.js").Replace(r.Path)
		for _, c := range []call{
			{target: path},
			{target: path + "?tab=4+-4+5"},
			{target: path + "?tab=Q"},
			{target: path + "?wrong=%zz"},
			{target: path + "x"},
			{method: http.MethodOptions, target: path},
			{method: http.MethodDelete, target: path},
			{method: http.MethodPost, target: path, body: "4"},
		} {
			res := record(e, c)
			statuses[res.StatusCode] = true
			isSecure(t, c, res)
		}
	}
	for _, status := range []int{200, 204, 400, 404, 405, 422, 500} {
		require.True(t, statuses[status], "no answer was %d", status)
	}
}

func isSecure(t *testing.T, c call, res *http.Response) {
	t.Helper()
	h, which := res.Header, c.method+" "+c.target
	require.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), which)
	require.Equal(t, "no-referrer", h.Get("Referrer-Policy"), which)
	require.Equal(t, "cross-origin", h.Get("Cross-Origin-Resource-Policy"), which)
	require.Contains(t, h.Get("Permissions-Policy"), "camera=()", which)
	policy := h.Get("Content-Security-Policy")
	require.Contains(t, policy, "default-src 'none'", which)
	require.Contains(t, policy, "base-uri 'none'", which)
	require.NotContains(t, policy, "script-src 'unsafe", which)
	if !strings.HasPrefix(h.Get("Content-Type"), "text/html") {
		require.NotContains(t, policy, "script-src", which)
	}
	require.Empty(t, h.Get("Server"), which)
	require.Empty(t, h.Values("Set-Cookie"), which)
}
