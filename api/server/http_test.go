package server

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
)

// tune is the query most tests ask with: a tune made up for them.
const tune = "tab=4+-4+5+-5+|+6--&tempo=200"

var resources = []struct{ target, media string }{
	{"/v1/audio?" + tune, "audio/wav"},
	{"/v1/audio?format=flac&" + tune, "audio/flac"},
	{"/v1/score?" + tune, "application/json"},
	{"/v1/score?format=midi&repeat=9&" + tune, "audio/midi"},
	{"/v1/score?format=musicxml&" + tune, "application/vnd.recordare.musicxml+xml"},
	{"/v1/tab?to_convention=letters&tab=" + strings.Repeat("4+-4+5+-5%0A", 20), "text/plain; charset=utf-8"},
	{"/v1/harps", "application/json"},
	{"/v1/harps/low-F?layout=country&tuning=just&a4=442", "application/json"},
	{"/openapi.yaml", "application/yaml"},
}

func TestGoodAnswers(t *testing.T) {
	for _, r := range resources {
		t.Run(r.target, func(t *testing.T) {
			c := call{target: r.target}
			require.NoError(t, allows(t, c))
			res := ask(t, c)
			body := read(t, res)
			require.Equal(t, http.StatusOK, res.StatusCode, body)
			require.Equal(t, r.media, res.Header.Get("Content-Type"))
			require.Equal(t, int64(len(body)), length(t, res))
			require.NotEmpty(t, body)
			require.Regexp(t, `^"[^"]+"$`, res.Header.Get("ETag"))
			require.Equal(t, "bytes", res.Header.Get("Accept-Ranges"))
			require.Equal(t, "Accept", res.Header.Get("Vary"))
			require.Regexp(t, `^public, max-age=[1-9]\d*, stale-while-revalidate=[1-9]\d*$`, res.Header.Get("Cache-Control"))
			anyOrigin(t, res)
		})
	}
}

// anyOrigin checks what a page of another origin needs.
func anyOrigin(t *testing.T, res *http.Response) {
	t.Helper()
	require.Equal(t, "*", res.Header.Get("Access-Control-Allow-Origin"))
	require.Equal(t, "cross-origin", res.Header.Get("Cross-Origin-Resource-Policy"))
	require.Equal(t, "nosniff", res.Header.Get("X-Content-Type-Options"))
	for _, name := range []string{"ETag", "Content-Range", "Accept-Ranges", "Content-Disposition", "Retry-After"} {
		require.Contains(t, res.Header.Get("Access-Control-Expose-Headers"), name)
	}
}

// lasting is the header of an answer without what differs each time.
func lasting(res *http.Response) http.Header {
	h := res.Header.Clone()
	h.Del("Cache-Status")
	return h
}

func length(t *testing.T, res *http.Response) int64 {
	t.Helper()
	n := json.Number(res.Header.Get("Content-Length"))
	v, err := n.Int64()
	require.NoError(t, err, "Content-Length %q", n)
	return v
}

// ref: RFC 9110, section 9.3.2: the fields GET would have, and no content.
func TestHead(t *testing.T) {
	for _, r := range resources {
		t.Run(r.target, func(t *testing.T) {
			whole := ask(t, call{target: r.target})
			for _, header := range []map[string]string{nil, {"Range": "bytes=0-9"}} {
				c := call{method: http.MethodHead, target: r.target, header: header}
				require.NoError(t, allows(t, c))
				res := ask(t, c)
				require.Equal(t, http.StatusOK, res.StatusCode)
				require.Empty(t, read(t, res))
				require.Equal(t, lasting(whole), lasting(res))
			}
		})
	}
}

func TestGetAndPostAreTheSame(t *testing.T) {
	body := `{"tab":"4 -4 5 -5 | 6--","tempo":200.0,"to_convention":"letters","rate":22050}`
	query := tune + "&to_convention=letters&rate=22050"
	for _, path := range []string{"/v1/audio", "/v1/score", "/v1/tab"} {
		t.Run(path, func(t *testing.T) {
			posted := call{target: path, body: body}
			require.NoError(t, allows(t, posted))
			get, post := ask(t, call{target: path + "?" + query}), ask(t, posted)
			require.Equal(t, http.StatusOK, post.StatusCode)
			require.Equal(t, lasting(get), lasting(post))
			require.Equal(t, read(t, get), read(t, post))
		})
	}
}

// The contract and the door agree that null is as good as absent.
func TestNullIsAbsent(t *testing.T) {
	var members []string
	for _, p := range api.Parameters()[1:] {
		members = append(members, `"`+p.Name+`":null`)
	}
	c := call{target: "/v1/score", body: `{"tab":"4 5","z":null,` + strings.Join(members, ",") + `}`}
	require.NoError(t, allows(t, c))
	require.Equal(t, http.StatusOK, ask(t, c).StatusCode)
}

func TestLayoutOfEqualReeds(t *testing.T) {
	c := call{target: "/v1/score", body: `{"tab":"4 5","layout":{"blow":` + tenC + `,"draw":` + tenC + `}}`}
	require.NoError(t, allows(t, c))
	require.Equal(t, http.StatusOK, ask(t, c).StatusCode)
}

const tenC = `["C4","C4","C4","C4","C4","C5","C5","C5","C5","C5"]`

func TestPostIgnoresRangesAndTags(t *testing.T) {
	c := call{target: "/v1/tab", body: `{"tab":"4 5"}`, header: map[string]string{"Range": "bytes=0-0", "If-None-Match": "*"}}
	res := ask(t, c)
	require.Equal(t, http.StatusOK, res.StatusCode)
	require.Equal(t, "4 5", strings.TrimSpace(read(t, res)))
}

// ref: RFC 9110, section 9.3.7, and the Fetch standard, "CORS-preflight request".
func TestOptions(t *testing.T) {
	for target, methods := range map[string][]string{
		"/v1/audio": {"GET", "HEAD", "POST", "OPTIONS"}, "/v1/score": {"POST"}, "/v1/tab": {"POST"},
		"/v1/harps": {"GET", "HEAD"}, "/v1/harps/C": {"GET"},
	} {
		t.Run(target, func(t *testing.T) {
			res := ask(t, call{method: http.MethodOptions, target: target, header: map[string]string{
				"Origin": "https://lessons.example", "Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "content-type",
			}})
			require.Equal(t, http.StatusNoContent, res.StatusCode)
			require.Empty(t, read(t, res))
			anyOrigin(t, res)
			for _, m := range methods {
				require.Contains(t, res.Header.Get("Access-Control-Allow-Methods"), m)
				require.Contains(t, res.Header.Get("Allow"), m)
			}
			require.Contains(t, res.Header.Get("Access-Control-Allow-Headers"), "Content-Type")
		})
	}
	require.Equal(t, http.StatusNotFound, ask(t, call{method: http.MethodOptions, target: "/v1/nothing"}).StatusCode)
}

func TestTagsTellRequestsApart(t *testing.T) {
	seen := map[string]string{}
	for _, target := range []string{
		"/v1/audio?tab=4+5", "/v1/audio?tab=4+6", "/v1/audio?tab=4+5&harp=A", "/v1/audio?tab=4+5&tempo=101", "/v1/audio?tab=4+5&depth=24",
		"/v1/audio?tab=4+5&strict=true", "/v1/score?tab=4+5", "/v1/score?tab=4+5&depth=24", "/v1/tab?tab=4+5", "/v1/harps", "/v1/harps/C", "/v1/harps/D", "/v1/harps/C?a4=442",
	} {
		tag := ask(t, call{target: target}).Header.Get("ETag")
		require.NotEmpty(t, tag, target)
		require.Empty(t, seen[tag], "%s has the tag of %s", target, seen[tag])
		seen[tag] = target
	}
	for _, same := range []string{"tab=4%205", "tab=4+5&room=0.15", "format=wav&tab=4+5", "repeat=1&tab=4+5"} {
		require.Equal(t, "/v1/audio?tab=4+5", seen[ask(t, call{target: "/v1/audio?" + same}).Header.Get("ETag")], same)
	}
}

// ref: RFC 9110, section 13.1.2.
func TestUnchanged(t *testing.T) {
	for _, r := range resources {
		tag := ask(t, call{target: r.target}).Header.Get("ETag")
		for held, want := range map[string]int{
			tag: 304, "W/" + tag: 304, "*": 304, `"a", ` + tag: 304, `"a,b" ,W/"c",` + tag: 304, tag + `, "a"`: 304, " " + tag + " ": 304,
			`"a"`: 200, "": 200, `W/"a"`: 200, strings.Trim(tag, `"`): 200, `"` + tag: 200, tag[:len(tag)-1]: 200, `"*"`: 200, "a" + tag: 200,
		} {
			res := ask(t, call{target: r.target, header: map[string]string{"If-None-Match": held, "Range": "bytes=0-0"}})
			if want == 200 && res.StatusCode == http.StatusPartialContent {
				continue
			}
			require.Equal(t, want, res.StatusCode, "%s %s", r.target, held)
			require.Empty(t, read(t, res))
			require.Equal(t, tag, res.Header.Get("ETag"))
			require.NotEmpty(t, res.Header.Get("Cache-Control"))
			require.Equal(t, "Accept", res.Header.Get("Vary"))
			anyOrigin(t, res)
		}
	}
}

// ref: RFC 9110, sections 13.1.1, 13.1.4 and 13.2.2. Nothing here has a date of
// modification, so If-Unmodified-Since is ignored.
func TestPreconditions(t *testing.T) {
	for _, r := range resources {
		tag := ask(t, call{target: r.target}).Header.Get("ETag")
		for held, want := range map[string]int{
			tag: 200, "*": 200, `"a", ` + tag: 200, `"a,b" ,W/"c",` + tag: 200,
			`"a"`: 412, "W/" + tag: 412, `"*"`: 412, strings.Trim(tag, `"`): 412, "": 412, `"a", W/` + tag: 412,
		} {
			for _, method := range []string{http.MethodGet, http.MethodHead} {
				res := ask(t, call{method: method, target: r.target, header: map[string]string{"If-Match": held}})
				require.Equal(t, want, res.StatusCode, "%s %s %s", method, r.target, held)
				if want == 412 && method == http.MethodGet {
					require.Equal(t, "/problems/precondition-failed", problem(t, res).Type)
				}
			}
		}
		for header, want := range map[[2]string]int{
			{"If-Unmodified-Since", "Thu, 01 Jan 1970 00:00:00 GMT"}: 200,
			{"If-Modified-Since", "Thu, 01 Jan 2099 00:00:00 GMT"}:   200,
		} {
			res := ask(t, call{target: r.target, header: map[string]string{header[0]: header[1]}})
			require.Equal(t, want, res.StatusCode, header)
		}
		both := map[string]string{"If-Match": `"a"`, "If-None-Match": tag}
		require.Equal(t, 412, ask(t, call{target: r.target, header: both}).StatusCode, "If-Match is looked at first")
	}
	wrong := map[string]string{"If-Match": `"a"`}
	require.Equal(t, 412, ask(t, call{target: "/v1/tab", body: `{"tab":"4 5"}`, header: wrong}).StatusCode)
	require.Equal(t, 412, record(shared(), call{target: "/?tab=4", header: wrong}).StatusCode, "a page has no tag")
	require.Equal(t, 200, record(shared(), call{target: "/?tab=4", header: map[string]string{"If-Match": "*"}}).StatusCode)
	require.Equal(t, 422, ask(t, call{target: "/v1/tab?tab=11", header: wrong}).StatusCode, "what is refused anyhow is refused for that")
}

// ref: RFC 9110, section 9.3.2. What is asked here goes over a connection, since
// the library that writes to it adds fields of its own.
func TestHeadHasTheFieldsOfGet(t *testing.T) {
	base := listen(t)
	long := strings.Repeat("4+-4+5+-5+6+-6%0A", 100)
	targets := []string{
		"/", "/?tab=" + long, "/?tab=Q", "/?tab=4&harp=H", "/embed?tab=" + long, "/oembed?url=" + url.QueryEscape(base+"/?tab=4+5"), "/oembed?format=xml&url=" + url.QueryEscape(base+"/?tab=4+5"),
		"/oembed?url=x", "/codes?tab=4", "/chart?tab=4", "/picture.png?tab=4", "/notes", "/notes/C5", "/notes/H", "/healthz", "/readyz", "/v1/nothing", "/assets/main.js", "/assets/nothing",
		"/v1/audio?tab=Q", "/v1/picture?tab=" + long, "/v1/notes/C5", "/v1/harps/H",
	}
	for _, r := range resources {
		targets = append(targets, r.target)
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	fields := func(method, target string) (int, http.Header) {
		r, err := http.NewRequestWithContext(t.Context(), method, base+target, nil)
		require.NoError(t, err)
		res, err := client.Do(r)
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		h := lasting(res)
		for _, own := range []string{"Date", "X-Request-Id"} {
			h.Del(own)
		}
		require.Empty(t, res.TransferEncoding, target)
		return res.StatusCode, h
	}
	for _, target := range targets {
		status, want := fields(http.MethodGet, target)
		again, got := fields(http.MethodHead, target)
		require.Equal(t, status, again, target)
		require.Equal(t, want, got, target)
	}
}

func TestBadTabIsNeverUnchanged(t *testing.T) {
	res := ask(t, call{target: "/v1/audio?tab=4+11+5", header: map[string]string{"If-None-Match": "*"}})
	require.Equal(t, http.StatusUnprocessableEntity, res.StatusCode)
}

func TestOneDoor(t *testing.T) {
	for target, want := range map[string]string{"/v1/harps/low-F": "low F", "/v1/harps/C%23": "Db", "/v1/harps/LOW%20f%23": "low F#", "/v1/harps/B%E2%99%AD": "Bb"} {
		res := ask(t, call{target: target})
		require.Equal(t, http.StatusOK, res.StatusCode, target)
		var chart openapi.Chart
		require.NoError(t, json.Unmarshal([]byte(read(t, res)), &chart))
		require.Equal(t, want, chart.Key)
	}
	var harps openapi.Harps
	require.NoError(t, json.Unmarshal([]byte(read(t, ask(t, call{target: "/v1/harps"}))), &harps))
	require.Len(t, harps.Keys, 12)
	for _, k := range harps.Keys {
		var chart openapi.Chart
		require.NoError(t, json.Unmarshal([]byte(read(t, ask(t, call{target: k.Href}))), &chart))
		require.Equal(t, k.Key, chart.Key)
	}
}

func TestOperations(t *testing.T) {
	for _, path := range []string{"/healthz", "/readyz"} {
		res := ask(t, call{target: path})
		require.Equal(t, http.StatusOK, res.StatusCode)
		require.Equal(t, "ok\n", read(t, res))
		require.Equal(t, "no-store", res.Header.Get("Cache-Control"))
	}
	require.Equal(t, string(openapi.Document), read(t, ask(t, call{target: "/openapi.yaml"})))
}

// ref: RFC 6266, section 4.3 and appendix D; RFC 8187, section 3.2.
func TestFilesAreNamedAfterTheTitle(t *testing.T) {
	cases := []struct{ title, want string }{
		{"", `inline; filename="tune.wav"; filename*=UTF-8''tune.wav`},
		{"Over the Ford", `inline; filename="Over the Ford.wav"; filename*=UTF-8''Over%20the%20Ford.wav`},
		{"Für Zoë", `inline; filename="Fur Zoe.wav"; filename*=UTF-8''F%C3%BCr%20Zo%C3%AB.wav`},
		{"春 1", `inline; filename="_ 1.wav"; filename*=UTF-8''%E6%98%A5%201.wav`},
		{`../"a"\b%41`, `inline; filename="--a--b_41.wav"; filename*=UTF-8''--a--b%2541.wav`},
	}
	for _, c := range cases {
		page := "4 5"
		if c.title != "" {
			page = "Title: " + c.title + "\n4 5"
		}
		res := ask(t, call{target: "/v1/audio?tab=" + url.QueryEscape(page)})
		require.Equal(t, c.want, res.Header.Get("Content-Disposition"))
	}
}
