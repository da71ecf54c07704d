package admit

import (
	"context"
	"math"
	"net/netip"
	"sync"
	"time"

	"github.com/maypok86/otter/v2"
)

// Quota bounds what one client may have, in units of work. The zero Quota is none.
type Quota struct {
	Rate  float64 // units that come back in a second
	Burst float64 // units at once
}

// Quotas are the accounts of all clients.
type Quotas struct {
	Quota
	accounts *otter.Cache[netip.Prefix, *Account]
}

// mostClients is how many accounts are kept. The least used are dropped, and start
// again with a full one.
const mostClients = 1 << 16

// NewQuotas gives each client the same quota.
func NewQuotas(q Quota) (*Quotas, error) {
	accounts, err := otter.New(&otter.Options[netip.Prefix, *Account]{MaximumSize: mostClients})
	return &Quotas{q, accounts}, err
}

// Account is the account of an address, nil where there is no quota. Of IPv6 a
// household has a whole /64; all that are no address share one account.
func (q *Quotas) Account(address string) *Account {
	if q.Rate == 0 {
		return nil
	}
	ip, _ := netip.ParseAddr(address)
	ip = ip.Unmap().WithZone("")
	bits := 64
	if ip.Is4() {
		bits = 32
	}
	client, _ := ip.Prefix(bits)
	a, _ := q.accounts.Get(context.Background(), client, otter.LoaderFunc[netip.Prefix, *Account](func(context.Context, netip.Prefix) (*Account, error) {
		return &Account{quota: q.Quota, left: q.Burst, at: time.Now()}, nil
	}))
	return a
}

// Account is what a client has left.
type Account struct {
	quota Quota
	mu    sync.Mutex
	left  float64
	at    time.Time
}

// refill adds what came back since.
func (a *Account) refill() {
	now := time.Now()
	a.left = min(a.quota.Burst, a.left+a.quota.Rate*now.Sub(a.at).Seconds())
	a.at = now
}

// Charge takes some units and says how many, or refuses where they are not there.
// What costs more than a client may have at once costs all of that.
func (a *Account) Charge(units float64) (charged float64, err error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.refill()
	units = min(units, a.quota.Burst)
	if units <= a.left {
		a.left -= units
		return units, nil
	}
	seconds := min((units-a.left)/a.quota.Rate, math.MaxInt32)
	return 0, &Refusal{OverQuota, time.Duration(seconds * float64(time.Second))}
}

// Refund gives back units that were charged and not spent.
func (a *Account) Refund(units float64) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.refill()
	a.left = min(a.quota.Burst, a.left+units)
}

// State is what is left, and how long until all has come back.
func (a *Account) State() (left float64, full time.Duration) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.refill()
	seconds := min((a.quota.Burst-a.left)/a.quota.Rate, math.MaxInt32)
	return a.left, time.Duration(seconds * float64(time.Second))
}
