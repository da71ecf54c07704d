package server

import (
	"context"
	"fmt"
	"math"
	"net"
	"net/http"
	"net/netip"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/maypok86/otter/v2"
	"golang.org/x/time/rate"

	"reedlark/api"
)

// quotas is what each client has left of what it may have, in voice-seconds. A
// call for something of a tab is one at least; to render costs what is rendered,
// and what was kept from before is free.
type quotas struct {
	Quota
	clients *otter.Cache[netip.Prefix, *rate.Limiter]
}

// mostClients is how many clients are told apart. Of more, the least seen are
// forgotten, and begin anew.
const mostClients = 1 << 16

func newQuotas(q Quota) (*quotas, error) {
	clients, err := otter.New(&otter.Options[netip.Prefix, *rate.Limiter]{MaximumSize: mostClients})
	return &quotas{q, clients}, err
}

// maxAfter is the latest at which anyone is told to come again.
const maxAfter = time.Hour

// errQuota says that a client asked for more than it may have.
type errQuota struct{ after time.Duration }

func (e *errQuota) Error() string {
	return "you asked for more sound than one caller may have for now: try again later"
}

// charge takes some voice-seconds from the quota of whoever calls, or fails where
// they are not there; and says in the answer what is left.
// ref: draft-ietf-httpapi-ratelimit-headers-10.
func (q *quotas) charge(c echo.Context, work float64) error {
	if q.Rate == 0 {
		return nil
	}
	l := q.client(c.RealIP())
	now := time.Now()
	n := int(min(math.Ceil(max(work, 1)), float64(l.Burst())))
	ok := l.AllowN(now, n)
	left := max(0, l.TokensAt(now))
	if h := c.Response().Header(); !c.Response().Committed {
		h.Set("RateLimit-Policy", fmt.Sprintf(`"client";q=%d;qu="voice-seconds";w=%.0f`, l.Burst(), math.Ceil(q.Burst/q.Rate)))
		h.Set("RateLimit", fmt.Sprintf(`"client";r=%.0f;t=%.0f`, math.Floor(left), math.Ceil((q.Burst-left)/q.Rate)))
	}
	if !ok {
		seconds := min((float64(n)-left)/q.Rate, maxAfter.Seconds())
		return &errQuota{time.Duration(seconds * float64(time.Second))}
	}
	return nil
}

// client is the limiter of an address. Of IPv6 a household has a whole /64.
func (q *quotas) client(address string) *rate.Limiter {
	ip, _ := netip.ParseAddr(address) // what is none shares one quota
	ip = ip.Unmap().WithZone("")
	bits := 64
	if ip.Is4() {
		bits = 32
	}
	client, _ := ip.Prefix(bits)
	l, _ := q.clients.Get(context.Background(), client, otter.LoaderFunc[netip.Prefix, *rate.Limiter](func(context.Context, netip.Prefix) (*rate.Limiter, error) {
		return rate.NewLimiter(rate.Limit(q.Rate), max(1, int(q.Burst))), nil
	}))
	return l
}

// addresses finds out who calls: the other end of the connection, or, where that
// is a proxy that the operator named, whom it says it speaks for.
func addresses(proxies []netip.Prefix) echo.IPExtractor {
	if len(proxies) == 0 {
		return echo.ExtractIPDirect()
	}
	trusted := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, p := range proxies {
		trusted = append(trusted, echo.TrustIPRange(&net.IPNet{
			IP: p.Masked().Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), p.Addr().BitLen()),
		}))
	}
	return echo.ExtractIPFromXFFHeader(trusted...)
}

var overQuota = api.ProblemKind{Path: "quota", Title: "Over the quota", Status: http.StatusTooManyRequests}
