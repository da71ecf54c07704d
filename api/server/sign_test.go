package server

import (
	stdhtml "html"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
)

var (
	oldKey = Key{"2026-10", []byte("an old secret of some length")}
	newKey = Key{"2026-11", []byte("a new secret of some length!")}
)

func signing(keys ...Key) http.Handler { return Handler(Config{Log: quiet.Log, Keys: keys}) }

func signedURL(t *testing.T, address string, k Key, expires time.Time) string {
	t.Helper()
	out, err := Sign(address, k, expires)
	require.NoError(t, err)
	return out
}

// ref: HMAC-SHA256 reckoned by OpenSSL 3.0:
//
//	printf %s '/v1/audio?tab=4+-4&key_id=lesson' | openssl dgst -sha256 -hmac 'sixteen secret bytes' -binary | basenc --base64url
func TestSignatureOfOpenSSL(t *testing.T) {
	k := Key{"lesson", []byte("sixteen secret bytes")}
	require.Equal(t, "/v1/audio?tab=4+-4&key_id=lesson&signature=gXqtg6Oa6Cwk_dTCB3xTgG8303iyKlvjLg9OV_DmzIc", signedURL(t, "/v1/audio?tab=4+-4", k, time.Time{}))
}

func TestSignKeepsTheRestOfTheAddress(t *testing.T) {
	at := time.Unix(1_900_000_000, 0)
	out := signedURL(t, "https://tab.example:8443/v1/audio?tab=4 -4’#part", newKey, at)
	require.Regexp(t, `^https://tab\.example:8443/v1/audio\?tab=4%20-4%E2%80%99&key_id=2026-11&expires=1900000000&signature=[\w-]{43}$`, out)
	for _, bad := range []string{"", "/v1/audio", "https://tab.example", ":", out, "/v1/audio?tab=4&key_id=a", "/v1/audio?expires=1&tab=4"} {
		_, err := Sign(bad, newKey, at)
		require.Error(t, err, bad)
	}
}

func TestSignedSoundsAreServed(t *testing.T) {
	h := signing(newKey, oldKey)
	for _, k := range []Key{oldKey, newKey} {
		for _, expires := range []time.Time{{}, time.Now().Add(time.Hour)} {
			for _, address := range []string{"/v1/audio?tab=4+5", "http://example.com/v1/audio?tab=4 5&format=flac", "/v1/audio?tab=4+%E2%86%915&v=2", "/v1/audio?z=qlYqSUxSslIyUdA1UTBVqgUEAAD__w"} {
				target := signedURL(t, address, k, expires)
				for _, method := range []string{http.MethodGet, http.MethodHead} {
					require.Equal(t, http.StatusOK, record(h, call{method: method, target: target}).StatusCode, target)
				}
			}
		}
	}
}

// One answer for all that is wrong with an address, before anything of it is read.
func TestSoundsNotSigned(t *testing.T) {
	h := signing(newKey)
	good := signedURL(t, "/v1/audio?tab=4+5", newKey, time.Now().Add(time.Hour))
	bare, code, _ := strings.Cut(good, "&signature=")
	flipped := "A"
	if code[0] == 'A' {
		flipped = "B"
	}
	unknown := signedURL(t, "/v1/audio?tab=4+5", oldKey, time.Time{})
	var first openapi.Problem
	for i, target := range []string{
		"/v1/audio?tab=4+5", "/v1/audio?tab=wibble", "/v1/audio", "/v1/audio?tab=4+5&signature=", bare, bare + "&signature=", bare + "&signature=" + code[1:],
		bare + "&signature=" + flipped + code[1:], good + "=", good + "A", good + "&tempo=90", strings.Replace(good, "4+5", "4+6", 1), strings.Replace(good, "4+5", "4%205", 1),
		strings.Replace(good, "expires=", "expires=1", 1), strings.Replace(good, "2026-11", "2026-10", 1), "/v1/audio?signature=" + code + "&tab=4+5",
		unknown, strings.Replace(unknown, "2026-10", "", 1), strings.Replace(unknown, "key_id=2026-10", "key_id=2026-11", 1),
		signedURL(t, "/v1/audio?tab=4+5", newKey, time.Now().Add(-time.Second)), signedURL(t, "/v1/audio?tab=4+5", Key{"2026-11", oldKey.Secret}, time.Time{}),
		signedURL(t, "/v1/score?tab=4+5", newKey, time.Time{})[len("/v1/score"):],
	} {
		if strings.HasPrefix(target, "?") {
			target = "/v1/audio" + target
		}
		res := record(h, call{target: target, header: map[string]string{"If-None-Match": "*"}})
		require.Equal(t, http.StatusForbidden, res.StatusCode, target)
		p := problem(t, res)
		if i == 0 {
			first = p
		}
		require.Equal(t, first, p, target)
	}
}

// What gives no sound needs no signature, and a sound can be posted for.
func TestWhatNeedsNoSignature(t *testing.T) {
	h := signing(newKey)
	for _, c := range []call{
		{target: "/v1/score?tab=4+5"},
		{target: "/v1/picture?tab=4+5"},
		{target: "/v1/tab?tab=4+5"},
		{target: "/v1/harps/C"},
		{target: "/healthz"},
		{target: "/v1/audio", body: `{"tab":"4 5"}`},
		{method: http.MethodOptions, target: "/v1/audio"},
	} {
		require.Less(t, record(h, c).StatusCode, 300, c.target)
	}
}

// A link that was signed goes on working when signatures are no longer asked for.
func TestSignatureWithoutKeys(t *testing.T) {
	target := signedURL(t, "/v1/audio?tab=4+5", newKey, time.Now().Add(time.Hour))
	require.Equal(t, http.StatusOK, ask(t, call{target: target}).StatusCode)
}

// The signature is no part of what a sound is kept under, and no cache keeps a
// sound for longer than its address holds.
func TestSignedSoundsAreKept(t *testing.T) {
	h := signing(newKey, oldKey)
	first := record(h, call{target: signedURL(t, "/v1/audio?tab=4", oldKey, time.Time{})})
	next := record(h, call{target: signedURL(t, "/v1/audio?tab=4", newKey, time.Now().Add(90*time.Second))})
	require.Equal(t, first.Header.Get("ETag"), next.Header.Get("ETag"))
	require.Equal(t, "reedlark; hit", next.Header.Get("Cache-Status"))
	seconds, found := strings.CutPrefix(next.Header.Get("Cache-Control"), "public, max-age=")
	require.True(t, found)
	n, err := strconv.Atoi(seconds)
	require.NoError(t, err)
	require.LessOrEqual(t, n, 90)
	require.Greater(t, n, 90-int(slowest.Seconds()))
}

// ref: RFC 8246, section 2; RFC 5861, section 3; RFC 9111, section 5.2.2.
func TestVersionsAreKept(t *testing.T) {
	running := api.EngineVersion()
	for query, want := range map[string]string{
		"":                 "public, max-age=600, stale-while-revalidate=86400",
		"&v=" + running:    "public, max-age=31536000, immutable",
		"&v=0":             "public, max-age=60",
		"&v=":              "public, max-age=60",
		"&v=%3Cscript%3E2": "public, max-age=60",
	} {
		for _, method := range []string{http.MethodGet, http.MethodHead} {
			res := ask(t, call{method: method, target: "/v1/audio?tab=4+5" + query})
			require.Equal(t, http.StatusOK, res.StatusCode, query)
			require.Equal(t, want, res.Header.Get("Cache-Control"), query)
		}
	}
	tag := ask(t, call{target: "/v1/audio?tab=4+5"}).Header.Get("ETag")
	res := ask(t, call{target: "/v1/audio?v=" + running + "&tab=4+5", header: map[string]string{"If-None-Match": tag}})
	require.Equal(t, http.StatusNotModified, res.StatusCode)
	require.Equal(t, keepForever, res.Header.Get("Cache-Control"))
	require.Equal(t, http.StatusOK, ask(t, call{target: "/v1/score?v=2&z=qlYqSUxSslIyUdA1UTBVqgUEAAD__w"}).StatusCode, "beside z, too")
	for _, wrong := range []string{"/v1/audio?tab=4&v=2&v=2", "/v1/audio?tab=4&V=2", "/v1/audio?tab=4&v=%4", "/v1/audio?v=2", "/v1/harps?v=2"} {
		require.Equal(t, http.StatusBadRequest, ask(t, call{target: wrong}).StatusCode, wrong)
	}
	require.Equal(t, http.StatusBadRequest, ask(t, call{target: "/v1/audio", body: `{"tab":"4","v":"2"}`}).StatusCode)
}

func FuzzSign(f *testing.F) {
	f.Add("/v1/audio?tab=4+-4")
	f.Add("https://tab.example/v1/audio?tab='4 <5>\"#\u00e9%zz&&=&v")
	f.Add("/v1/a%2fb?a;b")
	f.Add("%2f0?0")
	h := signing(newKey)
	f.Fuzz(func(t *testing.T, address string) {
		out, err := Sign(address, newKey, time.Time{})
		if err != nil {
			return
		}
		u, err := url.ParseRequestURI(out)
		require.NoError(t, err)
		if u.EscapedPath() != "/v1/audio" {
			return
		}
		r, err := http.NewRequest(http.MethodGet, u.RequestURI(), nil)
		require.NoError(t, err)
		w := &counted{header: http.Header{}}
		h.ServeHTTP(w, r)
		require.NotEqual(t, http.StatusForbidden, w.status)
		require.Less(t, w.status, 500)
	})
}

// A page of ours shows addresses that work, signed or not, and what embeds it does.
func TestPagesShowSoundsThatPlay(t *testing.T) {
	for _, h := range []http.Handler{shared(), signing(newKey, oldKey)} {
		for _, page := range []string{"/?tab=4+-4+5", "/embed?tab=4+-4+5"} {
			body := read(t, record(h, call{target: page}))
			found := regexp.MustCompile(`(?:src|href)="(/v1/audio[^"]+)"`).FindAllStringSubmatch(body, -1)
			require.Len(t, found, 2, "to hear and to save")
			for _, f := range found {
				res := record(h, call{target: stdhtml.UnescapeString(f[1])})
				require.Equal(t, http.StatusOK, res.StatusCode, f[1])
				require.Contains(t, f[1], "v="+api.EngineVersion())
			}
		}
	}
}
