package main

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/server"
)

// Keys for tests: their secrets are these words in base64.
const testKeys = "new:YSBuZXcgc2VjcmV0IG9mIHNvbWUgbGVuZ3RoIQ==,old:YW4gb2xkIHNlY3JldCBvZiBzb21lIGxlbmd0aA=="

func TestSign(t *testing.T) {
	t.Setenv("REEDLARK_KEYS", testKeys)
	var keys []server.Key
	for text := range strings.SplitSeq(testKeys, ",") {
		k, err := server.ParseKey(text)
		require.NoError(t, err)
		keys = append(keys, k)
	}
	h := server.Handler(server.Config{Keys: keys, Log: slog.New(slog.DiscardHandler)})
	for args, want := range map[string]string{
		"":                               `^/v1/audio\?tab=4\+-4&key_id=new&signature=[\w-]{43}\n$`,
		"--key-id=old":                   `^/v1/audio\?tab=4\+-4&key_id=old&signature=[\w-]{43}\n$`,
		"--for=24h":                      `^/v1/audio\?tab=4\+-4&key_id=new&expires=\d{10}&signature=[\w-]{43}\n$`,
		"--expires=2096-01-31T18:00:00Z": `^/v1/audio\?tab=4\+-4&key_id=new&expires=3978871200&signature=[\w-]{43}\n$`,
	} {
		got := call(t, "", append([]string{"sign", "/v1/audio?tab=4+-4"}, strings.Fields(args)...)...)
		require.Equal(t, 0, got.code, got.err)
		require.Regexp(t, want, got.out)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, strings.TrimSpace(got.out), nil))
		assert.Equal(t, http.StatusOK, w.Code, args)
	}
}

func TestSignRefuses(t *testing.T) {
	t.Setenv("REEDLARK_KEYS", testKeys)
	for args, says := range map[string]string{
		"":                               "<url>",
		"/v1/audio":                      "no query",
		"wibble":                         "path and query",
		"/v1/audio?tab=4 --key-id=never": "one of old, new",
		"/v1/audio?tab=4 --for=1h --expires=2096-01-31T18:00:00Z": "can't be used together",
		"/v1/audio?tab=4 --keys=a:secret":                         "16 to 64",
		"/v1/audio?tab=4&key_id=new":                              "already",
		"/v1/audio?tab=4 --for=0s":                                `for is "0s", but it may be 1s to 87600h`,
		"/v1/audio?tab=4 --for=-1h":                               "1s to 87600h",
		"/v1/audio?tab=4 --for=soon":                              "1s to 87600h",
		"/v1/audio?tab=4 --expires=tomorrow":                      "a time such as 2027-01-31T18:00:00Z",
		"/v1/audio?tab=4 --expires=2020-01-31T18:00:00Z":          "which has passed",
	} {
		got := call(t, "", append([]string{"sign"}, strings.Fields(args)...)...)
		assert.Equal(t, 2, got.code, args)
		assert.Contains(t, got.err, says)
		assert.NotContains(t, got.err, "a:secret", "a secret is not told")
		assert.Empty(t, got.out)
	}
}
