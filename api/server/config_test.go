package server

import (
	"encoding/base64"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"reedlark/api"
)

func secretKey(id string) Key { return Key{id, []byte(strings.Repeat(id+".", 16)[:16])} }

func TestConfigThatIsGood(t *testing.T) {
	for _, c := range []Config{
		{},
		{Slots: 1, Line: 64, Wait: time.Millisecond, CacheBytes: -1, WriteRate: 16},
		{Quota: Quota{Rate: 10}, PublicURL: "https://tab.example/"},
		{Keys: []Key{secretKey("a"), secretKey("2026-11")}},
	} {
		require.NoError(t, c.Check())
		require.NoError(t, c.filled().Check(), "the usual values are allowed too")
	}
}

func TestConfigThatIsNotAllowed(t *testing.T) {
	for name, c := range map[string]Config{
		"slots":       {Slots: 1025},
		"line":        {Line: -1},
		"wait":        {Wait: 2 * time.Second},
		"quota-rate":  {Quota: Quota{Rate: math.NaN()}},
		"quota-burst": {Quota: Quota{Burst: -1}},
		"cache-bytes": {CacheBytes: -2},
		"write-rate":  {WriteRate: 1<<20 + 1},
		"keys":        {Keys: []Key{secretKey("a"), secretKey("a")}},
		"public-url":  {PublicURL: "tab.example"},
	} {
		var refused *api.CallError
		require.ErrorAs(t, c.Check(), &refused, name)
		require.Equal(t, name, refused.Parameter)
		require.NotEmpty(t, refused.Allowed)
		require.Contains(t, refused.Error(), refused.Allowed)
	}
	for _, address := range []string{"ftp://tab.example", "https://", "https://me@tab.example", "https://tab.example/there", "https://tab.example?a", "https://tab.example#a", ":"} {
		require.Error(t, Config{PublicURL: address}.Check(), address)
	}
}

func TestKeysAsTheyAreWritten(t *testing.T) {
	secret := []byte("\xff\xfe\xfd 16 bytes and")
	for _, code := range []*base64.Encoding{base64.StdEncoding, base64.RawStdEncoding, base64.URLEncoding, base64.RawURLEncoding} {
		k, err := ParseKey("next_1:" + code.EncodeToString(secret))
		require.NoError(t, err)
		require.Equal(t, Key{"next_1", secret}, k)
	}
	for _, text := range []string{"", "a", "a:", ":AAAAAAAAAAAAAAAAAAAAAA", "a:AAAA", "a b:AAAAAAAAAAAAAAAAAAAAAA", "a:!AAAAAAAAAAAAAAAAAAAAA", strings.Repeat("a", 17) + ":AAAAAAAAAAAAAAAAAAAAAA"} {
		_, err := ParseKey(text)
		require.Error(t, err, text)
		require.NotContains(t, err.Error(), "AAAA", "a secret is not told")
	}
}
