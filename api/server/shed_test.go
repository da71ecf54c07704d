package server

import (
	"context"
	"net/http"
	"net/http/httptest"
	"testing"
	"testing/synctest"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/api/server/admit"
)

// ranges asks for ranges of a sound of ten seconds.
func ranges(h http.Handler, set string) *http.Response {
	return record(h, call{target: tenSeconds + "7", header: map[string]string{"Range": set}})
}

// Many ranges cost what they are together, however small the first of them is.
func TestQuotaOfManyRanges(t *testing.T) {
	h := Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 0.001, Burst: 6}})
	res := ranges(h, "bytes=0-0,70000-900000")
	require.Equal(t, http.StatusTooManyRequests, res.StatusCode)
	require.Equal(t, "/problems/quota", problem(t, res).Type)
	require.Equal(t, http.StatusPartialContent, ranges(h, "bytes=0-0,70000-70009").StatusCode)
}

// A part that is refused says nothing of the part it was to be.
// ref: RFC 9110, section 14.4: Content-Range has a meaning with 206 and 416 alone.
func TestRefusedRange(t *testing.T) {
	for _, set := range []string{"bytes=0-900000", "bytes=0-9,100-900000"} {
		h := Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 0.001, Burst: 6}})
		res := ranges(h, set)
		require.Equal(t, http.StatusTooManyRequests, res.StatusCode)
		require.Empty(t, res.Header.Get("Content-Range"))
		require.Equal(t, "application/problem+json", res.Header.Get("Content-Type"))
		require.Equal(t, "no-store", res.Header.Get("Cache-Control"))
	}
	res := ranges(shared(), "bytes=99999999-")
	require.Equal(t, http.StatusRequestedRangeNotSatisfiable, res.StatusCode)
	require.Regexp(t, `^bytes \*/\d+$`, res.Header.Get("Content-Range"))
}

// A quota that is no whole number, or comes back hardly ever, is one all the same.
func TestSmallQuotas(t *testing.T) {
	const sound = "/v1/audio?tempo=60&tab=4+5"
	h := Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 1e6, Burst: 1.5}})
	require.Equal(t, http.StatusOK, from(h, "192.0.2.1:9", sound).StatusCode)
	h = Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 1e-30, Burst: 1}})
	res := from(h, "192.0.2.1:9", sound)
	require.Equal(t, http.StatusTooManyRequests, res.StatusCode)
	require.Regexp(t, `^[1-9]\d{3}$`, res.Header.Get("Retry-After"))
}

// Who was to make something for all is refused for want of his own quota; the
// others have theirs, and one who has half an answer gets the rest.
func TestLeaderIsRefused(t *testing.T) {
	for _, k := range []struct {
		name      string
		err       error
		committed bool
		want      error
	}{
		{"over quota", &admit.Refusal{Reason: admit.OverQuota}, false, nil},
		{"busy", &admit.Refusal{Reason: admit.LineFull}, false, &admit.Refusal{Reason: admit.LineFull}},
		{"busy, half sent", &admit.Refusal{Reason: admit.LineFull}, true, nil},
	} {
		t.Run(k.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s := newService(Config{Log: quiet.Log}.filled())
				refuse, got := make(chan struct{}), make(chan error, 1)
				go func() {
					_, _, _ = s.store.Get(t.Context(), admit.Key{Tag: "a"}, func(context.Context) (admit.Item, error) {
						<-refuse
						return nil, k.err
					})
				}()
				synctest.Wait()
				c := echo.New().NewContext(httptest.NewRequest(http.MethodGet, "/", nil), httptest.NewRecorder())
				one, err := s.newCall(c, api.Request{}, api.TabProduct)
				require.NoError(t, err)
				defer one.end()
				if k.committed {
					one.job.Commit()
				}
				go func() {
					_, err := one.get(t.Context(), admit.Key{Tag: "a"}, func(context.Context) (admit.Item, error) { return block("sound"), nil })
					got <- err
				}()
				synctest.Wait()
				close(refuse)
				require.Equal(t, k.want, <-got)
			})
		})
	}
}

// A page about a tab is work like any other: it has its place in the line and its
// share of a quota, though its tab be known.
func TestPagesAreWork(t *testing.T) {
	pages := []string{"/?tab=4", "/embed?tab=4", "/oembed?url=http://example.com/?tab=4"}
	s := newService(Config{Log: quiet.Log, Slots: 1, Line: 1}.filled())
	for _, target := range pages {
		require.Equal(t, http.StatusOK, record(s.handler(), call{target: target}).StatusCode)
	}
	defer busy(t, s, 3)()
	for _, target := range pages[:2] {
		res := record(s.handler(), call{target: target})
		require.Equal(t, http.StatusServiceUnavailable, res.StatusCode, target)
		require.NotEmpty(t, res.Header.Get("Retry-After"), target)
		require.Equal(t, "no-store", res.Header.Get("Cache-Control"), target)
		require.Contains(t, read(t, res), "busy")
	}
	for _, target := range pages {
		h := Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 0.001, Burst: 1}})
		require.Equal(t, http.StatusOK, record(h, call{target: target}).StatusCode)
		res := record(h, call{target: target})
		require.Equal(t, http.StatusTooManyRequests, res.StatusCode, target)
		require.NotEmpty(t, res.Header.Get("Retry-After"), target)
		require.Equal(t, "no-store", res.Header.Get("Cache-Control"), target)
	}
	require.Zero(t, s.memory.Held())
}
