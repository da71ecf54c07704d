package server

import (
	"context"
	"math"

	"github.com/maypok86/otter/v2"
)

// store keeps what was made, for as long as it finds room, and lets one call
// make what several ask for at once. Who made it may go away meanwhile: then it
// is finished all the same, or made by another.
type store struct {
	cache    *otter.Cache[key, kept]
	most     int64 // bytes
	observer Observer
}

// key names what is kept: a tag of everything it depends on, and which piece of
// it.
type key struct {
	kind string // piece, sound or file
	tag  string
	part int64
}

// kept is something that says how many bytes it takes.
type kept interface{ bytes() int }

// overhead is what the store itself takes for an entry, bytes.
const overhead = 256

func newStore(bytes int64, o Observer) (*store, error) {
	most := uint64(max(1, bytes))
	cache, err := otter.New(&otter.Options[key, kept]{
		MaximumWeight: most,
		Weigher: func(_ key, k kept) uint32 {
			weight := uint64(k.bytes() + overhead)
			if weight > most/4 { // one must not drive out all others
				weight = most + 1
			}
			return uint32(min(weight, math.MaxUint32))
		},
	})
	return &store{cache, int64(most), o}, err
}

// How something was come by. ref: RFC 9211, section 2.
const (
	hit       = "hit"
	stored    = "fwd=miss; stored"
	collapsed = "fwd=miss; collapsed"
)

// get is what is kept under a key, made now where there is none. Waiting for it
// ends with ctx.
func (s *store) get(ctx context.Context, k key, make func() (kept, error)) (v kept, how string, err error) {
	v, ok := s.cache.GetIfPresent(k)
	s.observer.Cached(k.kind, ok)
	if ok {
		return v, hit, nil
	}
	how = collapsed
	v, err = s.cache.Get(ctx, k, otter.LoaderFunc[key, kept](func(context.Context, key) (kept, error) {
		how = stored
		return make()
	}))
	return v, how, err
}
