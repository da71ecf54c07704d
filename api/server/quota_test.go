package server

import (
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// from sends a call from an address, with what it says of whom it speaks for.
func from(h http.Handler, address, target string, forwarded ...string) *http.Response {
	r := httptest.NewRequest(http.MethodGet, target, nil)
	r.RemoteAddr = address
	for _, f := range forwarded {
		r.Header.Add("X-Forwarded-For", f)
	}
	rec := httptest.NewRecorder()
	h.ServeHTTP(rec, r)
	return rec.Result()
}

const tenSeconds = "/v1/audio?tempo=60&room=0&tab=4+5+6+7+8+4+5+6+7+"

// ref: draft-ietf-httpapi-ratelimit-headers-10; RFC 6585, section 4.
func TestQuota(t *testing.T) {
	h := Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 0.001, Burst: 17}})
	const one, other = "192.0.2.1:999", "192.0.2.2:999"
	for i, left := range []int{10, 2} { // each is some seven for ten seconds of sound without a room
		res := from(h, one, tenSeconds+strconv.Itoa(1+i))
		require.Equal(t, http.StatusOK, res.StatusCode)
		require.Equal(t, `"client";q=17;qu="voice-seconds";w=17000`, res.Header.Get("RateLimit-Policy"))
		require.Regexp(t, `^"client";r=`+strconv.Itoa(left)+`;t=\d+$`, res.Header.Get("RateLimit"))
	}
	require.Equal(t, http.StatusOK, from(h, one, tenSeconds+"1").StatusCode, "what was kept costs a call only")
	res := from(h, one, tenSeconds+"8")
	require.Equal(t, http.StatusTooManyRequests, res.StatusCode)
	holds(t, call{target: tenSeconds + "8"}, res, []byte(read(t, from(h, one, tenSeconds+"8"))))
	seconds, err := strconv.Atoi(res.Header.Get("Retry-After"))
	require.NoError(t, err)
	require.Greater(t, seconds, 60)
	require.Equal(t, "/problems/quota", problem(t, res).Type)
	require.Equal(t, http.StatusOK, from(h, other, tenSeconds+"8").StatusCode)
	require.Equal(t, http.StatusOK, from(h, one, "/v1/harps").StatusCode)
	require.Equal(t, http.StatusOK, from(h, one, "/healthz").StatusCode)
}

// A sound that costs more than anybody may have at once costs all one has.
func TestQuotaOfOneLongSound(t *testing.T) {
	h := Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 0.001, Burst: 5}})
	require.Equal(t, http.StatusTooManyRequests, from(h, "192.0.2.1:9", tenSeconds).StatusCode, "the call itself was one")
	h = Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 1000, Burst: 5}})
	require.Equal(t, http.StatusOK, from(h, "192.0.2.1:9", "/v1/audio?tab=4&tempo=400").StatusCode)
}

func TestNoQuota(t *testing.T) {
	res := from(shared(), "192.0.2.1:9", tenSeconds)
	require.Empty(t, res.Header.Get("RateLimit"))
	require.Empty(t, res.Header.Get("RateLimit-Policy"))
}

// Who calls is taken from a field only where a proxy that was named set it.
func TestWhoCalls(t *testing.T) {
	proxies := []netip.Prefix{netip.MustParsePrefix("10.1.0.0/16"), netip.MustParsePrefix("2001:db8::/32")}
	for _, c := range []struct {
		name    string
		proxies []netip.Prefix
		address string
		fields  []string
		same    bool // as the client 198.51.100.7
	}{
		{"no proxy is named", nil, "192.0.2.1:9", []string{"198.51.100.7"}, false},
		{"not even one at home", nil, "127.0.0.1:9", []string{"198.51.100.7"}, false},
		{"another one is named", proxies, "10.2.0.1:9", []string{"198.51.100.7"}, false},
		{"home is not named", proxies, "127.0.0.1:9", []string{"198.51.100.7"}, false},
		{"by itself", proxies, "198.51.100.7:1", nil, true},
		{"by itself, and lying", proxies, "198.51.100.7:1", []string{"203.0.113.9"}, true},
		{"through one that is named", proxies, "10.1.2.3:9", []string{"198.51.100.7"}, true},
		{"through IPv6", proxies, "[2001:db8::9]:9", []string{"198.51.100.7"}, true},
		{"through two", proxies, "10.1.2.3:9", []string{"198.51.100.7, 10.1.9.9"}, true},
		{"having lied to it", proxies, "10.1.2.3:9", []string{"203.0.113.9, 198.51.100.7"}, true},
		{"having lied to it in a field", proxies, "10.1.2.3:9", []string{"203.0.113.9", "198.51.100.7"}, true},
		{"with nonsense", proxies, "10.1.2.3:9", []string{"<script>, ,,198.51.100.7"}, true},
		{"another client", proxies, "10.1.2.3:9", []string{"198.51.100.8"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 0.001, Burst: 1}, Proxy: append([]netip.Prefix{netip.MustParsePrefix("10.9.9.9/32")}, c.proxies...)})
			require.Equal(t, http.StatusOK, from(h, "10.9.9.9:1", "/v1/tab?tab=4", "198.51.100.7").StatusCode)
			want := http.StatusOK
			if c.same {
				want = http.StatusTooManyRequests
			}
			require.Equal(t, want, from(h, c.address, "/v1/tab?tab=4", c.fields...).StatusCode)
		})
	}
}

// A household has many addresses of IPv6 and one quota.
func TestQuotaOfAHousehold(t *testing.T) {
	h := Handler(Config{Log: quiet.Log, Quota: Quota{Rate: 0.001, Burst: 1}})
	require.Equal(t, http.StatusOK, from(h, "[2001:db8:1:2::1]:9", "/v1/tab?tab=4").StatusCode)
	require.Equal(t, http.StatusTooManyRequests, from(h, "[2001:db8:1:2:ffff::9]:9", "/v1/tab?tab=4").StatusCode)
	require.Equal(t, http.StatusOK, from(h, "[2001:db8:1:3::1]:9", "/v1/tab?tab=4").StatusCode)
	require.Equal(t, http.StatusOK, from(h, "192.0.2.1:9", "/v1/tab?tab=4").StatusCode)
	require.Equal(t, http.StatusTooManyRequests, from(h, "[::ffff:192.0.2.1]:9", "/v1/tab?tab=4").StatusCode)
}
