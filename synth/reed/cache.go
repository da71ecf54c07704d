package reed

import (
	"sync"

	"reedlark/synth/dsp"
)

// Cache keeps tables, which are pure values of their timbre, so that renders
// share them. It is bounded in bytes and safe for use by many at once.
//
// It keeps two generations: what is asked for moves to the young one, and
// when that holds half the bound the old one is let go. So it forgets what
// has not been asked for lately, without a list of uses.
type Cache struct {
	half       int // tables in a generation
	sine       *turn
	mu         sync.Mutex
	young, old map[Timbre]*Table
	hiss       map[int][]float32
}

// tableBytes is what a table takes.
const tableBytes = 2*4*(Points+1) + 128

// DefaultCacheBytes holds the tables of a dozen tunes.
const DefaultCacheBytes = 8 << 20

// NewCache makes a cache of at most so many bytes, and at least two tables.
func NewCache(bytes int) *Cache {
	c := &Cache{half: max(1, bytes/tableBytes/2), sine: new(turn), young: map[Timbre]*Table{}, hiss: map[int][]float32{}}
	for i := range c.sine {
		c.sine[i] = dsp.Sin(float64(i) / Points)
	}
	return c
}

// Table is the table of a timbre, built if it is not at hand.
func (c *Cache) Table(t Timbre) *Table {
	c.mu.Lock()
	tab := c.find(t)
	c.mu.Unlock()
	if tab == nil {
		tab = build(t, c.sine)
		c.mu.Lock()
		c.keep(t, tab)
		c.mu.Unlock()
	}
	return tab
}

func (c *Cache) find(t Timbre) *Table {
	if tab := c.young[t]; tab != nil {
		return tab
	}
	tab := c.old[t]
	if tab != nil {
		c.keep(t, tab)
	}
	return tab
}

func (c *Cache) keep(t Timbre, tab *Table) {
	if len(c.young) >= c.half {
		c.old, c.young = c.young, map[Timbre]*Table{}
	}
	c.young[t] = tab
}

// Hiss is the breath noise of a sample rate.
func (c *Cache) Hiss(rate int) []float32 {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.hiss[rate] == nil {
		c.hiss[rate] = hiss(float64(rate))
	}
	return c.hiss[rate]
}
