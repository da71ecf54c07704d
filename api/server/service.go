package server

import (
	"errors"
	"sync/atomic"

	"reedlark/api"
	"reedlark/api/server/admit"
)

// service is the state of one server: about its callers, what is left of their
// quotas and nothing else.
type service struct {
	cfg    Config
	door   *api.Door
	queue  *admit.Queue
	store  *admit.Store
	quotas *admit.Quotas
	memory *admit.Memory
	phase  atomic.Int32
}

// The phases of a server's life. It answers in all of them, and is ready in one.
const (
	open    int32 = iota
	warming       // the first call of each kind takes longer than the next
	closing
)

var errNotReady = errors.New("the service is starting or closing: ask another one, or again in a moment")

// mostHeld is how many bytes are held for readers until they are sent.
const mostHeld = 256 << 20

func newService(cfg Config) *service {
	store, err := admit.NewStore(cfg.CacheBytes, cfg.Observer.Cached)
	quotas, err2 := admit.NewQuotas(cfg.Quota)
	if err := errors.Join(err, err2); err != nil {
		panic(err) // their options are ours
	}
	return &service{
		cfg: cfg, door: api.NewDoorWithin(cfg.Limits), store: store, quotas: quotas,
		queue:  admit.NewQueue(cfg.Slots, cfg.Line, cfg.Wait, cfg.Observer.Waited),
		memory: admit.NewMemory(mostHeld),
	}
}
