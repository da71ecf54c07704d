package server

import (
	"context"
	"slices"
	"sync"

	"reedlark/api"
	"reedlark/api/server/admit"
)

// flacFile is a FLAC file, whose blocks are its stretches; the first has the head.
// It is kept, so that a file is surveyed once.
type flacFile struct{ api.FLACLayout }

// Bytes is what it takes to keep the layout.
func (f *flacFile) Bytes() int { return len(f.Head) + 8*len(f.Ends) }

// Size is the length of the file in bytes.
func (f *flacFile) Size() int64 {
	if n := len(f.Ends); n > 0 {
		return f.Ends[n-1]
	}
	return int64(len(f.Head))
}

func (f *flacFile) find(offset int64) (number, begins int64) {
	i, _ := slices.BinarySearch(f.Ends, offset+1)
	if i > 0 {
		begins = f.Ends[i-1]
	}
	return int64(i), begins
}

func (f *flacFile) render(ctx context.Context, sound *api.Sound, number int64) (block, error) {
	b, err := sound.FLACStretch(ctx, int(number))
	if number == 0 {
		b = slices.Concat(f.Head, b)
	}
	return b, err
}

// codedBlocks is what a survey coded and the store has no room for, until it is
// sent: nothing is coded twice for a reader who takes it at once.
type codedBlocks struct {
	mu     sync.Mutex
	blocks map[int64]block
	bytes  int
}

// mostCoded is how much of the memory for readers all of that may take.
const mostCoded = 0.5

// add keeps a block, unless there is too much already.
func (c *codedBlocks) add(m *admit.Memory, number int64, b block) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !m.Spare(len(b), mostCoded) {
		return
	}
	if c.blocks == nil {
		c.blocks = map[int64]block{}
	}
	c.blocks[number] = b
	c.bytes += len(b)
}

// take removes a block and returns it; nil if there is none.
func (c *codedBlocks) take(m *admit.Memory, number int64) block {
	c.mu.Lock()
	defer c.mu.Unlock()
	b := c.blocks[number]
	delete(c.blocks, number)
	c.bytes -= len(b)
	m.Release(len(b))
	return b
}

// drop lets go of all blocks.
func (c *codedBlocks) drop(m *admit.Memory) {
	c.mu.Lock()
	defer c.mu.Unlock()
	m.Release(c.bytes)
	c.blocks, c.bytes = nil, 0
}
