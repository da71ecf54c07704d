package admit

import (
	"context"
	"errors"
	"math"
	"sync"

	"github.com/maypok86/otter/v2"
)

// Store keeps what was made, for as long as it finds room, and lets one make what
// several ask for at once.
type Store struct {
	cache    *otter.Cache[Key, Item]
	capacity int64 // bytes
	looked   func(kind string, hit bool)

	mu      sync.Mutex
	flights map[Key]*Flight
}

// Key names what is kept: a tag of everything it depends on, and which piece of it.
type Key struct {
	Kind string
	Tag  string
	Part int64
}

// Item is something that knows how many bytes it takes.
type Item interface{ Bytes() int }

// overhead is what the store itself takes for an item, bytes.
const overhead = 256

// NewStore keeps at most that many bytes, and no item of more than a quarter of them.
// looked is called for each lookup.
func NewStore(bytes int64, looked func(kind string, hit bool)) (*Store, error) {
	capacity := uint64(max(1, bytes))
	cache, err := otter.New(&otter.Options[Key, Item]{
		MaximumWeight: capacity,
		Weigher: func(_ Key, item Item) uint32 {
			weight := uint64(item.Bytes() + overhead)
			if weight > capacity/4 {
				weight = capacity + 1
			}
			return uint32(min(weight, math.MaxUint32))
		},
	})
	return &Store{cache: cache, capacity: int64(capacity), looked: looked, flights: map[Key]*Flight{}}, err
}

// Capacity is how many bytes are kept.
func (s *Store) Capacity() int64 { return s.capacity }

// Size is how many bytes are kept now, in how many items.
func (s *Store) Size() (bytes int64, items int) {
	s.cache.CleanUp()
	return int64(s.cache.WeightedSize()), s.cache.EstimatedSize()
}

// Close ends what the store does in the background.
func (s *Store) Close() { s.cache.StopAllGoroutines() }

// Put keeps an item.
func (s *Store) Put(k Key, item Item) { s.cache.Set(k, item) }

// Outcome is a Cache-Status value.
// ref: RFC 9211, section 2.
type Outcome string

// The outcomes.
const (
	Hit       Outcome = "hit"
	Made      Outcome = "fwd=miss; stored"
	Collapsed Outcome = "fwd=miss; collapsed" // made by another
)

// Flight is an item that its leader is making.
type Flight struct {
	Context context.Context // ends when all who wait for the item have gone
	cancel  context.CancelFunc
	store   *Store
	key     Key
	done    chan struct{} // closed when item and err are there
	item    Item
	err     error
	mu      sync.Mutex
	wanted  int         // callers that have not gone
	stay    func() bool // of the leader
}

var errPanic = errors.New("the maker of an item panicked")

// Get is what is kept under a key, or what make makes now, see [Store.Find].
func (s *Store) Get(ctx context.Context, k Key, make Maker) (Item, Outcome, error) {
	item, outcome, flight, err := s.Find(ctx, k)
	if flight == nil {
		return item, outcome, err
	}
	defer flight.Land()
	item, err = make(flight.Context)
	return flight.Bring(item, err, true), outcome, err
}

// Maker makes an item. It fails when ctx ends.
type Maker = func(ctx context.Context) (Item, error)

// Find is what is kept under a key, or made by another meanwhile. Where there is
// neither, it gives a flight, whose leader the caller is. A caller waits no longer
// than ctx lasts.
func (s *Store) Find(ctx context.Context, k Key) (Item, Outcome, *Flight, error) {
	item, ok := s.cache.GetIfPresent(k)
	s.looked(k.Kind, ok)
	if ok {
		return item, Hit, nil, nil
	}
	for {
		f, leads := s.Join(ctx, k)
		if leads {
			if item, ok := s.cache.GetIfPresent(k); ok { // since the look
				f.Bring(item, nil, false)
				f.Land()
				return item, Collapsed, nil, nil
			}
			return nil, Made, f, nil
		}
		item, err := f.Wait(ctx)
		if !errors.Is(err, context.Canceled) || ctx.Err() != nil {
			return item, Collapsed, nil, err
		} // else those who asked before have gone
	}
}

// Join takes part in the flight of a key; the one who begins it leads.
func (s *Store) Join(ctx context.Context, k Key) (f *Flight, leads bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f = s.flights[k]; f != nil {
		f.mu.Lock()
		f.wanted++
		f.mu.Unlock()
		return f, false
	}
	f = &Flight{store: s, key: k, done: make(chan struct{}), wanted: 1, err: errPanic}
	f.Context, f.cancel = context.WithCancel(context.WithoutCancel(ctx))
	f.stay = context.AfterFunc(ctx, f.leave)
	s.flights[k] = f
	return f, true
}

// Wait waits for the item that another makes.
func (f *Flight) Wait(ctx context.Context) (Item, error) {
	stay := context.AfterFunc(ctx, f.leave)
	defer stay()
	select {
	case <-f.done:
		return f.item, f.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// Bring gives the item, or why there is none, to all who wait for it, and keeps it
// if it is to be kept.
func (f *Flight) Bring(item Item, err error, keep bool) Item {
	if err == nil && keep {
		f.store.cache.Set(f.key, item)
	}
	f.item, f.err = item, err
	return item
}

// Land ends a flight, whatever it brought: its leader defers it.
func (f *Flight) Land() {
	f.stay()
	f.store.mu.Lock()
	delete(f.store.flights, f.key)
	f.store.mu.Unlock()
	f.cancel()
	close(f.done)
}

// leave ends the making where nobody is left.
func (f *Flight) leave() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.wanted--; f.wanted == 0 {
		f.cancel()
	}
}
