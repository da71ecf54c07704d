package server

import (
	"bufio"
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	markup "golang.org/x/net/html"

	"reedlark/openapi"
)

// bomb is JSON of so many bytes, packed small.
func bomb(t *testing.T, size int) string {
	t.Helper()
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.BestCompression)
	require.NoError(t, err)
	_, err = io.WriteString(w, `{"tab":"`+strings.Repeat(" ", size)+`"}`)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return base64.RawURLEncoding.EncodeToString(packed.Bytes())
}

// head is the head of a request, and what stands after it.
func head(line string, fields ...string) string {
	return line + " HTTP/1.1\r\nHost: tab.example\r\n" + strings.Join(append(fields, "\r\n"), "\r\n")
}

func post(length string, body string) string {
	return head("POST /v1/score", "Content-Type: application/json", length) + body
}

// chunks is a body of so many chunks of a kilobyte that has no end.
func chunks(n int) string { return strings.Repeat("400\r\n"+strings.Repeat("[", 1024)+"\r\n", n) }

// abuse is what somebody sends, byte by byte, and the statuses of the answers to
// it, in order. The sections are those of the standard that says so.
var abuse = []struct {
	name, sent string
	want       []int
	// ref: RFC 9110 (semantics), RFC 9112 (HTTP/1.1), RFC 6585, RFC 3986.
	ref string
}{
	{"a body that says it is endless", post("Content-Length: 999999999999", "{"), []int{413}, "9110, 15.5.14"},
	{"a body that is endless", post("Transfer-Encoding: chunked", chunks(300)), []int{413}, "9110, 15.5.14"},
	{"a body with a length that is none", post("Content-Length: 1e3", "{}"), []int{400}, "9112, 6.3"},
	{"a body with a length below nothing", post("Content-Length: -1", "{}"), []int{400}, "9112, 6.3"},
	{"a body with two lengths", post("Content-Length: 2\r\nContent-Length: 3", "{} "), []int{400}, "9112, 6.3"},
	{"a body coded as nobody reads it", post("Transfer-Encoding: gzip", "{}"), []int{501}, "9112, 6.1"},
	{"a body with a broken chunk", post("Transfer-Encoding: chunked", "zz\r\n{}\r\n0\r\n\r\n"), []int{400}, "9112, 7.1"},
	{"a body that nobody waits for", head("POST /v1/score", "Content-Type: application/json", "Expect: 100-continue", "Content-Length: 999999999999"), []int{413}, "9110, 10.1.1"},
	{"an expectation nobody meets", head("GET /v1/tab?tab=4", "Expect: wonders"), []int{417}, "9110, 10.1.1"},
	{"twenty thousand fields", head("GET /healthz", strings.TrimSuffix(strings.Repeat("X-A: b\r\n", 20_000), "\r\n")), []int{431}, "6585, 5"},
	{"a field of a megabyte", head("GET /healthz", "X-A: "+strings.Repeat("b", 1<<20)), []int{431}, "6585, 5"},
	{"a URL of a megabyte", head("GET /v1/tab?tab=" + strings.Repeat("4", 1<<20)), []int{431}, "9110, 15.5.15"},
	{"a URL over the limit", head("GET /v1/tab?tab=" + strings.Repeat("4+", 5000)), []int{414}, "9110, 15.5.15"},
	{"a field with a blank in its name", head("GET /healthz", "X A: b"), []int{400}, "9112, 5.1"},
	{"a field without a name", head("GET /healthz", ": b"), []int{400}, "9112, 5.1"},
	{"a field folded over lines", head("GET /healthz", "X-A: b\r\n c"), []int{200}, "9112, 5.2: or it is read as one"},
	{"a field with a control character", head("GET /healthz", "X-A: b\x00c"), []int{400}, "9110, 5.5"},
	{"no host", "GET /healthz HTTP/1.1\r\n\r\n", []int{400}, "9112, 3.2"},
	{"two hosts", head("GET /healthz", "Host: other.example"), []int{400}, "9112, 3.2"},
	{"a host that is markup", "GET / HTTP/1.1\r\nHost: \"><script>\r\n\r\n", []int{400}, "9112, 3.2"},
	{"HTTP/1.0, which needs none", "GET /v1/tab?tab=4 HTTP/1.0\r\n\r\n", []int{200}, "9112, 2.5"},
	{"HTTP/1.0 that stays", "GET /v1/tab?tab=4 HTTP/1.0\r\nConnection: keep-alive\r\n\r\nGET /healthz HTTP/1.0\r\n\r\n", []int{200, 200}, "9112, C.2.2"},
	{"HTTP/0.9", "GET /healthz\r\n\r\n", []int{400}, "9112, 3"},
	{"HTTP/2 unasked", "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", []int{404}, "9113, 3.4: no path that is there"},
	{"HTTP/3.9", "GET / HTTP/3.9\r\nHost: a\r\n\r\n", []int{505}, "9110, 15.6.6"},
	{"no HTTP at all", "\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n", []int{400}, "9112, 3"},
	{"an upgrade that nobody offers", head("GET /healthz", "Connection: Upgrade", "Upgrade: h2c"), []int{200}, "9110, 7.8"},
	{"TRACE", head("TRACE /v1/audio?tab=4"), []int{405}, "9110, 9.3.8"},
	{"CONNECT", "CONNECT tab.example:443 HTTP/1.1\r\nHost: tab.example:443\r\n\r\n", []int{404}, "9110, 9.3.6: no more than any path that is not there"},
	{"a method nobody knows", head("BREW /v1/audio?tab=4"), []int{405}, "9110, 9.1"},
	{"a method that is none", head("G<>T /v1/audio?tab=4"), []int{400}, "9110, 9.1"},
	{"OPTIONS of everything", "OPTIONS * HTTP/1.1\r\nHost: a\r\n\r\n", []int{204}, "9110, 9.3.7"},
	{"the whole of a URL", "GET http://other.example/v1/tab?tab=4 HTTP/1.1\r\nHost: a\r\n\r\n", []int{200}, "9112, 3.2.2"},
	{"a target that is none", "GET v1/tab HTTP/1.1\r\nHost: a\r\n\r\n", []int{400}, "9112, 3.2"},
	{"pipelining", strings.Repeat(head("GET /v1/tab?tab=4"), 3) + head("GET /v1/nothing") + head("GET /v1/tab?tab=5"), []int{200, 200, 200, 404, 200}, "9112, 9.3.2"},
	{"pipelining, then nonsense", head("GET /v1/tab?tab=4") + "nonsense\r\n\r\n", []int{200, 400}, "9112, 9.3.2"},
	{"a request in the body of another", head("GET /v1/tab?tab=4", "Content-Length: 33") + head("GET /healthz")[:33], []int{200}, "9112, 6"},
	{"a length and chunks", post("Transfer-Encoding: chunked\r\nContent-Length: 5", "9\r\n{\"tab\":4}\r\n0\r\n\r\n"), []int{400}, "9112, 6.3: the chunks are read, and the connection is closed"},
	{"a path that goes up", head("GET /assets/../../../etc/passwd"), []int{404}, "3986, 5.2.4"},
	{"a path that goes up in percent code", head("GET /assets/%2e%2e%2f%2e%2e%2fgo.mod"), []int{404}, "3986, 2.4"},
	{"a path that goes up in percent code twice", head("GET /assets/%252e%252e%252fgo.mod"), []int{404}, "3986, 2.4"},
	{"a path that goes up backwards", head(`GET /assets/..\..\go.mod`), []int{404}, "3986, 3.3"},
	{"a path with a null", head("GET /assets/main.js%00.png"), []int{404}, "3986, 2.4"},
	{"a harp that goes up", head("GET /v1/harps/..%2f..%2fgo.mod"), []int{404}, "3986, 3.3"},
	{"a file to be fetched", head("GET /v1/tab?tab=file:///etc/passwd"), []int{422}, "it is a tab, and none"},
	{"a null in a tab", head("GET /v1/tab?tab=4%00"), []int{422}, "told as U+0000"},
	{"bytes that are no text", head("GET /v1/tab?tab=%c0%af4"), []int{400}, "3629, 3"},
	{"half a percent code", head("GET /v1/tab?tab=4&harp=%"), []int{400}, "3986, 2.1"},
}

// talk sends bytes over a connection of its own and reads what is answered until
// the other end closes, or says nothing more.
func talk(t *testing.T, address, sent string) (answers []*http.Response, bodies []string) {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	require.NoError(t, err)
	defer func() { require.NoError(t, conn.Close()) }()
	require.NoError(t, conn.SetDeadline(time.Now().Add(slowest)))
	go func() {
		_, _ = io.WriteString(conn, sent) // the other end may have heard enough
		_ = conn.(*net.TCPConn).CloseWrite()
	}()
	r := bufio.NewReader(conn)
	for {
		res, err := http.ReadResponse(r, nil)
		if err != nil {
			return answers, bodies
		}
		body, err := io.ReadAll(res.Body)
		require.NoError(t, err)
		answers, bodies = append(answers, res), append(bodies, string(body))
	}
}

func TestAbuse(t *testing.T) {
	base := listen(t)
	address := strings.TrimPrefix(base, "http://")
	for _, a := range abuse {
		t.Run(a.name, func(t *testing.T) {
			answers, bodies := talk(t, address, a.sent)
			var got []int
			for i, res := range answers {
				got = append(got, res.StatusCode)
				if beforeAnyHandler(res, bodies[i]) {
					require.True(t, res.Close)
					continue
				}
				isSecure(t, call{target: a.name}, res)
				if res.StatusCode < 400 {
					continue
				}
				var p openapi.Problem
				require.NoError(t, json.Unmarshal([]byte(bodies[i]), &p), "%q", bodies[i])
				require.Equal(t, res.StatusCode, p.Status)
				require.Equal(t, "application/problem+json", res.Header.Get("Content-Type"))
				require.Equal(t, "no-store", res.Header.Get("Cache-Control"))
				require.Equal(t, "nosniff", res.Header.Get("X-Content-Type-Options"))
			}
			require.Equal(t, a.want, got, "RFC %s", a.ref)
			require.Equal(t, http.StatusOK, get(t, base+"/healthz").StatusCode)
		})
	}
}

// beforeAnyHandler says that an answer is net/http's own: to what it cannot read as
// HTTP, or expects what it does not know. It says all in its status.
func beforeAnyHandler(res *http.Response, body string) bool {
	return res.StatusCode >= 400 && res.Header.Get("Referrer-Policy") == "" && (body == "" || strings.HasPrefix(res.Header.Get("Content-Type"), "text/plain"))
}

// A request that has a length and chunks too is answered by its chunks, and is the
// last of its connection: another server on the way may have gone by the length.
// ref: RFC 9112, sections 6.1 and 11.2.
func TestLengthAndChunks(t *testing.T) {
	address := strings.TrimPrefix(listen(t), "http://")
	chunked := post("Transfer-Encoding: chunked\r\nContent-Length: 5", "b\r\n{\"tab\":\"4\"}\r\n0\r\n\r\n")
	answers, _ := talk(t, address, chunked+head("GET /healthz")+"\r\n\r\n")
	require.Len(t, answers, 1)
	require.Equal(t, http.StatusOK, answers[0].StatusCode)
	require.True(t, answers[0].Close)
	answers, _ = talk(t, address, post("Content-Length: 11", `{"tab":"4"}`)+head("GET /healthz"))
	require.Len(t, answers, 2)
	require.False(t, answers[0].Close)
}

// A body that breaks off is no whole one, wherever it does.
// ref: RFC 9112, section 8.
func TestBodiesThatBreakOff(t *testing.T) {
	address := strings.TrimPrefix(listen(t), "http://")
	for _, sent := range []string{
		post("Content-Length: 11", `{"tab":"4"`), post("Content-Length: 11", ""), post("Transfer-Encoding: chunked", "b\r\n{\"tab\""), post("Transfer-Encoding: chunked", "b\r\n{\"tab\":\"4\"}\r\n"),
	} {
		answers, _ := talk(t, address, sent)
		for _, res := range answers { // there may be nobody left to tell
			require.Equal(t, http.StatusBadRequest, res.StatusCode, sent)
		}
	}
}

func TestBombsInLinks(t *testing.T) {
	for size, want := range map[int]int{90 << 10: 413, 100 << 10: 413, 1 << 20: 413, 4 << 20: 413} {
		z := bomb(t, size)
		require.Less(t, len(z), 6000)
		for _, path := range []string{"/v1/audio", "/v1/score", "/v1/picture", "/v1/tab", "/", "/embed"} {
			require.Equal(t, want, record(shared(), call{target: path + "?z=" + z}).StatusCode, "%d bytes at %s", size, path)
		}
	}
	for name, text := range map[string]string{
		"a link in a link": `{"z":"qlYqSUxSslIyUdA1UTBVqgUEAAD__w"}`, "deep": `{"layout":` + strings.Repeat("[", 20_000), "wide": `{` + strings.Repeat(`"a":1,`, 14_000) + `"tab":"4"}`,
		"one key over and over": `{` + strings.Repeat(`"tab":"4",`, 9000) + `"tab":"4"}`,
	} {
		var packed bytes.Buffer
		w, err := flate.NewWriter(&packed, flate.BestCompression)
		require.NoError(t, err)
		_, err = io.WriteString(w, text)
		require.NoError(t, err)
		require.NoError(t, w.Close())
		res := record(shared(), call{target: "/v1/score?z=" + base64.RawURLEncoding.EncodeToString(packed.Bytes())})
		require.Equal(t, http.StatusBadRequest, res.StatusCode, name)
		problem(t, res)
	}
}

func TestTwentyThousandParameters(t *testing.T) {
	var query, body strings.Builder
	for i := range 20_000 {
		fmt.Fprintf(&query, "&a%d=1", i)
		fmt.Fprintf(&body, `,"a%d":1`, i)
	}
	require.Equal(t, 414, record(shared(), call{target: "/v1/score?tab=4" + query.String()}).StatusCode)
	require.Equal(t, 400, record(shared(), call{target: "/v1/score?tab=4" + query.String()[:7000]}).StatusCode)
	require.Contains(t, []int{400, 413}, record(shared(), call{target: "/v1/score", body: `{"tab":"4"` + body.String() + "}"}).StatusCode)
	require.Equal(t, 400, record(shared(), call{target: "/v1/score?" + strings.Repeat("&", 7000)}).StatusCode)
}

// evil is text that is markup, script, a field and a line of a log, if it is let.
const evil = `<script>alert(1)</script>"'--><svg/onload=alert(2)>{{.}}${1}` + "\u2028\u0085X-Evil: 1 level=ERROR msg=owned"

// Nothing that a caller wrote becomes a part of a page: with it and with plain
// letters in its place, a page has the same elements with the same attributes.
func TestScriptInPages(t *testing.T) {
	page := func(text string) string {
		return "Title: " + text + "\nHarp: A\n4 -4 5 -5\n" + text + "\ntab: 4 Q 5 " + text + "\n"
	}
	good := func(text string) string { return "Title: " + text + "\nHarp: A\n4 -4 5 -5\n" + text + "\n4 5 6\n" }
	for name, target := range map[string]func(text string) string{
		"page":            func(s string) string { return "/?tab=" + url.QueryEscape(good(s)) },
		"page, mistaken":  func(s string) string { return "/?tab=" + url.QueryEscape(page(s)) },
		"page, refused":   func(s string) string { return "/?tab=4&harp=" + url.QueryEscape(s) },
		"page, unknown":   func(s string) string { return "/?tab=4&" + url.QueryEscape(s) + "=1" },
		"embed":           func(s string) string { return "/embed?tab=" + url.QueryEscape(good(s)) },
		"embed, mistaken": func(s string) string { return "/embed?tab=" + url.QueryEscape(page(s)) },
		"note":            func(s string) string { return "/notes/" + url.PathEscape(s) },
		"picture":         func(s string) string { return "/v1/picture?tab=" + url.QueryEscape(good(s)) },
	} {
		t.Run(name, func(t *testing.T) {
			bad := record(shared(), call{target: target(evil)})
			require.Equal(t, skeleton(t, record(shared(), call{target: target("plain letters")})), skeleton(t, bad))
			require.Equal(t, "nosniff", bad.Header.Get("X-Content-Type-Options"))
			require.Empty(t, bad.Header.Get("X-Evil"))
			if strings.HasPrefix(bad.Header.Get("Content-Type"), "text/html") {
				require.NotContains(t, bad.Header.Get("Content-Security-Policy"), "'unsafe")
			}
		})
	}
}

// skeleton is the elements of a page and the names of their attributes, each kind
// once.
func skeleton(t *testing.T, res *http.Response) []string {
	t.Helper()
	require.Less(t, res.StatusCode, 500)
	root, err := markup.Parse(res.Body)
	require.NoError(t, err)
	var out []string
	for n := range root.Descendants() {
		if n.Type != markup.ElementNode {
			continue
		}
		names := n.Data
		for _, a := range n.Attr {
			names += " " + a.Key
			require.NotContains(t, strings.ToLower(a.Val), "javascript:")
		}
		out = append(out, names)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// What is no page says so, and is never taken for one.
func TestScriptInTheRest(t *testing.T) {
	tab := url.QueryEscape("Title: " + evil + "\n4 -4\n" + evil + "\n")
	for _, target := range []string{
		"/v1/audio?tab=" + tab, "/v1/score?tab=" + tab, "/v1/tab?tab=" + tab, "/v1/picture?tab=" + tab, "/v1/score?format=midi&tab=" + tab, "/v1/score?format=musicxml&tab=" + tab, "/v1/audio?format=flac&tab=" + tab,
		"/v1/audio?tab=4&harp=" + url.QueryEscape(evil), "/v1/audio?tab=4&" + url.QueryEscape(evil) + "=1", "/v1/harps/" + url.PathEscape(evil), "/v1/notes/" + url.PathEscape(evil), "/" + url.PathEscape(evil),
		"/oembed?url=" + url.QueryEscape("http://example.com/?tab="+tab), "/oembed?format=xml&url=" + url.QueryEscape("http://example.com/?tab="+tab), "/oembed?format=" + url.QueryEscape(evil),
	} {
		res := record(shared(), call{target: target, header: map[string]string{"X-Request-Id": evil, "Traceparent": evil}})
		require.NotEqual(t, http.StatusInternalServerError, res.StatusCode, target)
		require.NotContains(t, res.Header.Get("Content-Type"), "html", target)
		require.Equal(t, "nosniff", res.Header.Get("X-Content-Type-Options"))
		for name, values := range res.Header {
			require.NotContains(t, name, "Evil")
			for _, v := range values {
				require.NotContains(t, strings.ToLower(v), "<script", "%s of %s", name, target)
				require.Equal(t, strings.Map(func(r rune) rune {
					if r < ' ' || r > '~' {
						return -1
					}
					return r
				}, v), v, "%s of %s", name, target)
			}
		}
	}
}

// The log has one line for each call, whatever is in it.
func TestLogInjection(t *testing.T) {
	var log bytes.Buffer
	h := Handler(Config{Log: logTo(&log)})
	for _, target := range []string{"/v1/audio?tab=" + url.QueryEscape("Title: "+evil+"\n4"), "/" + url.PathEscape(evil), "/v1/harps/" + url.PathEscape("a\r\nlevel=ERROR")} {
		record(h, call{target: target, header: map[string]string{"X-Request-Id": evil, "User-Agent": evil, "Traceparent": evil, "X-Forwarded-For": evil}})
	}
	require.Equal(t, 3, strings.Count(log.String(), "\n"))
	require.NotContains(t, log.String(), "owned")
	require.NotContains(t, log.String(), "ERROR")
}

// Where the service says who it is, no caller does.
func TestHostPoisoning(t *testing.T) {
	told := map[string]string{
		"Host": "evil.example", "X-Forwarded-Host": "evil.example", "X-Forwarded-Proto": "evil", "X-Forwarded-Prefix": "/evil", "X-Original-Url": "/evil",
		"X-Rewrite-Url": "/evil", "X-Http-Method-Override": "DELETE", "Forwarded": "host=evil.example;proto=evil", "X-Host": "evil.example",
	}
	own := Handler(Config{Log: quiet.Log, PublicURL: "https://tab.example"})
	for _, target := range []string{"/?tab=4+5", "/embed?tab=4+5", "/notes/C5", "/v1/audio?tab=4+5", "/v1/harps", "/oembed?url=" + url.QueryEscape("https://tab.example/?tab=4+5"), "/v1/nothing"} {
		for _, h := range []http.Handler{own, shared()} {
			r := call{target: target, header: told}.request()
			if h == own {
				r.Host = "evil.example"
			}
			rec := newRecorder()
			h.ServeHTTP(rec, r)
			require.NotContains(t, rec.Body.String(), "evil", target)
			for name, values := range rec.Header() {
				require.NotContains(t, strings.Join(values, " "), "evil", "%s of %s", name, target)
			}
		}
	}
}
