package server

import (
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// span is a range of bytes.
type span struct{ from, n int64 }

func (s span) of(size int64) string { return fmt.Sprintf("bytes %d-%d/%d", s.from, s.from+s.n-1, size) }

// wholeOf is the body that a target answers with when asked for no range.
func wholeOf(t *testing.T, target string) (body, tag string) {
	t.Helper()
	res := ask(t, call{target: target})
	require.Equal(t, http.StatusOK, res.StatusCode)
	return read(t, res), res.Header.Get("ETag")
}

func TestSingleRanges(t *testing.T) {
	for _, r := range resources {
		t.Run(r.target, func(t *testing.T) {
			whole, tag := wholeOf(t, r.target)
			n := len(whole)
			for spec, want := range map[string]span{
				"0-0": {0, 1}, "0-43": {0, 44}, "40-47": {40, 8}, "45-46": {45, 2}, "100-": {100, int64(n - 100)}, "-1": {int64(n - 1), 1}, "-100": {int64(n - 100), 100},
				fmt.Sprintf("50-%d", 9*n): {50, int64(n - 50)}, fmt.Sprintf("-%d", 9*n): {0, int64(n)}, fmt.Sprintf("%d-%d", n-1, n-1): {int64(n - 1), 1},
				"7-99999999999999999999999": {7, int64(n - 7)}, "0-0,": {0, 1}, fmt.Sprintf("%d-, 3-4", n): {3, 2},
			} {
				res := ask(t, call{target: r.target, header: map[string]string{"Range": "bytes=" + spec}})
				require.Equal(t, http.StatusPartialContent, res.StatusCode, spec)
				body := read(t, res)
				require.Equal(t, whole[want.from:want.from+want.n], body, spec)
				require.Equal(t, want.of(int64(n)), res.Header.Get("Content-Range"), spec)
				require.Equal(t, int64(len(body)), length(t, res))
				require.Equal(t, tag, res.Header.Get("ETag"))
				require.Equal(t, r.media, res.Header.Get("Content-Type"))
				anyOrigin(t, res)
			}
		})
	}
}

// ref: RFC 9110, section 14.4: 416 names the size there is.
func TestRangesOutside(t *testing.T) {
	for _, r := range resources {
		whole, _ := wholeOf(t, r.target)
		for _, spec := range []string{fmt.Sprintf("%d-", len(whole)), fmt.Sprintf("%d-%d", len(whole), len(whole)), "-0", "-0,-0", "99999999999999999999999-", fmt.Sprintf("%d-,-0", len(whole)+9)} {
			res := ask(t, call{target: r.target, header: map[string]string{"Range": "bytes=" + spec}})
			require.Equal(t, http.StatusRequestedRangeNotSatisfiable, res.StatusCode, spec)
			require.Equal(t, fmt.Sprintf("bytes */%d", len(whole)), res.Header.Get("Content-Range"))
			problem(t, res)
		}
	}
}

// ref: RFC 9110, section 14.2: what is malformed, in another unit, or a set of
// many small ranges may be ignored, and the whole is answered.
func TestRangesIgnored(t *testing.T) {
	target := resources[0].target
	whole, _ := wholeOf(t, target)
	for _, field := range []string{
		"", "bytes", "bytes=", "bytes=,", "bytes=a-b", "bytes=5-2", "bytes=1", "bytes=--1", "bytes=0-0,x", "bytes=+1-2", "bytes=0x1-2", "bytes=1 - 2",
		"frames=0-9", "items=0-9", "none", "bytes:0-9",
		"bytes=" + strings.Repeat("0-0,", 1000), "bytes=" + strings.TrimSuffix(manyRanges(9), ","),
		"bytes=0-99,50-149", "bytes=0-,0-",
	} {
		res := ask(t, call{target: target, header: map[string]string{"Range": field}})
		require.Equal(t, http.StatusOK, res.StatusCode, field)
		require.Equal(t, whole, read(t, res), field)
		require.Empty(t, res.Header.Get("Content-Range"))
	}
}

// manyRanges is n ranges of one byte.
func manyRanges(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "%d-%d,", 10*i, 10*i)
	}
	return b.String()
}

// ref: RFC 9110, section 14.6; the parts are read by mime/multipart.
func TestSeveralRanges(t *testing.T) {
	for _, r := range resources {
		t.Run(r.target, func(t *testing.T) {
			whole, _ := wholeOf(t, r.target)
			res := ask(t, call{target: r.target, header: map[string]string{"Range": "bytes=100-149, 0-0,-7"}})
			require.Equal(t, http.StatusPartialContent, res.StatusCode)
			require.Empty(t, res.Header.Get("Content-Range"))
			body := read(t, res)
			require.Equal(t, int64(len(body)), length(t, res))
			media, params, err := mime.ParseMediaType(res.Header.Get("Content-Type"))
			require.NoError(t, err)
			require.Equal(t, "multipart/byteranges", media)
			parts := multipart.NewReader(strings.NewReader(body), params["boundary"])
			n := int64(len(whole))
			for _, s := range []span{{100, 50}, {0, 1}, {n - 7, 7}} {
				part, err := parts.NextRawPart()
				require.NoError(t, err)
				require.Equal(t, s.of(n), part.Header.Get("Content-Range"))
				require.Equal(t, r.media, part.Header.Get("Content-Type"))
				got, err := io.ReadAll(part)
				require.NoError(t, err)
				require.Equal(t, whole[s.from:s.from+s.n], string(got))
			}
			_, err = parts.NextRawPart()
			require.ErrorIs(t, err, io.EOF)
		})
	}
}

// ref: RFC 9110, section 13.1.5: the comparison is strong, and a date is none
// of ours.
func TestIfRange(t *testing.T) {
	target := resources[0].target
	_, tag := wholeOf(t, target)
	for value, want := range map[string]int{
		tag: 206, `"a"`: 200, "W/" + tag: 200, tag + `, "a"`: 200, "Sat, 29 Oct 2044 19:43:31 GMT": 200, "*": 200, "": 200,
	} {
		res := ask(t, call{target: target, header: map[string]string{"Range": "bytes=0-9", "If-Range": value}})
		require.Equal(t, want, res.StatusCode, value)
	}
}
