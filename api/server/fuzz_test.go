package server

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// counted is a response writer that keeps no sound.
type counted struct {
	header http.Header
	status int
	bytes  int64
}

func (c *counted) Header() http.Header { return c.header }

func (c *counted) WriteHeader(status int) { c.status = status }

func (c *counted) Write(b []byte) (int, error) {
	c.bytes += int64(len(b))
	return len(b), nil
}

// Whatever is asked, the answer is whole and the fault is never ours.
func FuzzRequest(f *testing.F) {
	paths := []string{"/v1/audio", "/v1/score", "/v1/tab", "/v1/harps", "/v1/harps/", "/openapi.yaml"}
	for i := range paths {
		f.Add(uint8(i), tune, "", "bytes=0-9", "*/*", `"a"`)
		f.Add(uint8(i), "", `{"tab":"4 -4 {5 -5}- (6)7 | 8* -3//~ -> 4 x2\ncount: 1 &"}`, "", "", "")
		f.Add(uint8(i), "C%23?a4=442", "", "bytes=-1,0-0", "audio/*;q=0.5", "*")
	}
	for _, r := range refusals {
		if len(r.call.target) < 200 && len(r.call.body) < 200 {
			_, query, _ := strings.Cut(r.call.target, "?")
			f.Add(uint8(0), query, r.call.body, "", r.call.header["Accept"], "")
		}
	}
	f.Add(uint8(0), "tab=%7C:+%7C:+4------+:%7C+x16+:%7C+x16&repeat=32", "", "", "", "")
	f.Add(uint8(0), "tab=10////////////&harp=low+E&to=L1&from=L1&count_in=4&click=true&tempo=400", "", "", "", "")
	f.Fuzz(func(t *testing.T, path uint8, query, body, ranges, accept, held string) {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.URL.Path = paths[int(path)%len(paths)]
		r.URL.RawQuery = query
		r.RequestURI = r.URL.RequestURI()
		if body != "" {
			r = httptest.NewRequest(http.MethodPost, "/", strings.NewReader(body))
			r.URL.Path = paths[int(path)%len(paths)]
			r.Header.Set("Content-Type", "application/json")
		}
		for name, value := range map[string]string{"Range": ranges, "Accept": accept, "If-None-Match": held} {
			if value != "" {
				r.Header.Set(name, value)
			}
		}
		w := &counted{header: http.Header{}}
		shared().ServeHTTP(w, r)
		require.Less(t, w.status, 500)
		require.GreaterOrEqual(t, w.status, 200)
		if w.status == http.StatusNotModified {
			require.Zero(t, w.bytes)
			return
		}
		require.Equal(t, length(t, &http.Response{Header: w.header}), w.bytes)
	})
}
