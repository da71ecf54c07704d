package server

import (
	"encoding/base64"
	"fmt"
	"log/slog"
	"net/netip"
	"net/url"
	"runtime"
	"strings"
	"sync"
	"time"

	"reedlark/api"
	"reedlark/api/server/admit"
)

// Config is what an operator chooses. The zero Config is good: a field that is
// zero is at its usual value. [Config.Check] names a value that is not allowed
// and what is.
type Config struct {
	Log      *slog.Logger // nil: the default logger
	Observer Observer     // nil: nobody watches

	Slots int           // calls worked on at once, 1 to 1024; 0: one a core
	Line  int           // calls that may wait, for each slot, 1 to 64; 0: 2
	Wait  time.Duration // the longest wait, 1 ms to 1 s; 0: 1 s

	Quota Quota          // what one client may have; zero: no quota
	Proxy []netip.Prefix // whose X-Forwarded-For is believed; none: nobody's

	CacheBytes int64 // bytes kept of what was made, up to 64 GiB; 0: 32 MiB; below 0: none
	WriteRate  int   // bytes a second a listener takes at least, 16 to 1 Mi; 0: 4096

	Limits api.Limits    // of a page and its sound; zero: the usual ones
	Drain  time.Duration // from the first word to close until nothing new is taken, up to 10 min; 0: none
	Grace  time.Duration // from then on for what is under way, up to 1 h; 0: 20 s

	Keys      []Key  // sign the addresses of sounds; none: no address needs a signature
	PublicURL string // where callers find the service, as https://tab.example; "": as each call says
}

// Quota bounds what one client may have in voice-seconds: what it takes to render a
// second of sound of one voice is one. The zero Quota is none. The Rate is up to 1e6;
// a Burst, up to 1e9, of 0 is what a minute gives.
type Quota = admit.Quota

// Key signs addresses. Several may hold at once, so that one can follow another.
type Key struct {
	ID     string // 1 to 16 letters, digits, - and _; it stands in the address
	Secret []byte // 16 to 64 bytes
}

// ParseKey reads a key as an operator writes it: its name, a colon, and its
// secret in base64 or base64url, padded or not.
func ParseKey(text string) (Key, error) {
	id, code, _ := strings.Cut(text, ":")
	code = strings.NewReplacer("+", "-", "/", "_").Replace(strings.TrimRight(code, "="))
	secret, err := base64.RawURLEncoding.DecodeString(code)
	k := Key{id, secret}
	if err != nil || !k.good() {
		return Key{}, notAllowed("keys", "one of the keys cannot be read", "a name of 1 to 16 letters, digits, - and _, a colon, and 16 to 64 secret bytes in base64")
	}
	return k, nil
}

const keyLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"

func (k Key) good() bool {
	named := len(k.ID) > 0 && len(k.ID) <= 16 && strings.Trim(k.ID, keyLetters) == ""
	return named && len(k.Secret) >= 16 && len(k.Secret) <= 64
}

// Check refuses a value that is not allowed, as a *[api.CallError] that names
// the field and what it may be.
func (c Config) Check() error {
	for _, f := range []struct {
		name      string
		v, lo, hi float64
		allowed   string
	}{
		{"slots", float64(c.Slots), 1, 1024, "0 (one a core) to 1024"},
		{"line", float64(c.Line), 1, 64, "1 to 64 calls for each slot"},
		{"wait", c.Wait.Seconds(), 0.001, 1, "1ms to 1s"},
		{"quota-rate", c.Quota.Rate, 0, 1e6, "0 (no quota) to 1000000 voice-seconds a second"},
		{"quota-burst", c.Quota.Burst, 0, 1e9, "0 (what a minute gives) to 1000000000 voice-seconds"},
		{"cache-bytes", float64(c.CacheBytes), -1, 64 << 30, "0 (none) to 68719476736 bytes"},
		{"drain", c.Drain.Seconds(), 0, 600, "0s to 10m"},
		{"grace", c.Grace.Seconds(), 0.001, 3600, "1ms to 1h"},
		{"write-rate", float64(c.WriteRate), 16, 1 << 20, "16 to 1048576 bytes a second"},
	} {
		if f.v != 0 && !(f.v >= f.lo && f.v <= f.hi) {
			return notAllowed(f.name, fmt.Sprintf("%s is %g", f.name, f.v), f.allowed)
		}
	}
	return c.checkTexts()
}

func (c Config) checkTexts() error {
	seen := map[string]bool{}
	for _, k := range c.Keys {
		if !k.good() || seen[k.ID] {
			return notAllowed("keys", "a key has a bad name or secret, or two have one name", "names of their own, of 1 to 16 letters, digits, - and _, with 16 to 64 secret bytes each")
		}
		seen[k.ID] = true
	}
	if c.PublicURL == "" {
		return nil
	}
	u, err := url.Parse(c.PublicURL)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.User != nil || strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.Fragment != "" {
		return notAllowed("public-url", fmt.Sprintf("public-url is %q", c.PublicURL), "a scheme and a host, as https://tab.example")
	}
	return nil
}

func notAllowed(name, detail, allowed string) error {
	return &api.CallError{Kind: api.NotAllowed, Parameter: name, Allowed: allowed, Detail: detail + ", but it may be " + allowed}
}

// The usual values.
const (
	usualLine      = 2
	usualWait      = time.Second
	usualCache     = 32 << 20
	usualWriteRate = 4 << 10
	usualGrace     = 20 * time.Second
)

// filled has the usual values where the operator chose none.
func (c Config) filled() Config {
	if c.Log == nil {
		c.Log = slog.Default()
	}
	if c.Observer == nil {
		c.Observer = Nobody{}
	}
	usual(&c.Slots, cores())
	usual(&c.Line, usualLine)
	usual(&c.Wait, usualWait)
	usual(&c.CacheBytes, usualCache)
	usual(&c.WriteRate, usualWriteRate)
	usual(&c.Grace, usualGrace)
	usual(&c.Quota.Burst, 60*c.Quota.Rate)
	c.PublicURL = strings.TrimRight(c.PublicURL, "/")
	return c
}

// cores is how many processors there are for us, as Go saw it at first.
var cores = sync.OnceValue(func() int { return runtime.GOMAXPROCS(0) })

func usual[T comparable](field *T, value T) {
	var zero T
	if *field == zero {
		*field = value
	}
}
