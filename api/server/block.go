package server

import (
	"bytes"
	"context"

	"reedlark/api"
)

// blockBytes is how much of a sound is made, kept and sent at a time. It bounds
// what a call holds while its reader is slow: one block, which it shares.
const blockBytes = 64 << 10

// block is a range of a file of sound.
type block []byte

func (b block) Bytes() int { return len(b) }

// blocks is a file of sound of which any block can be made alone.
type blocks interface {
	Size() int64
	find(offset int64) (number, begins int64) // the block that has a byte, and its first
	render(ctx context.Context, sound *api.Sound, number int64) (block, error)
}

// wavFile is a WAV file in blocks of as many whole frames as fill one; the first
// has the head, too.
type wavFile struct{ api.WAVLayout }

// Size is the length of the file in bytes.
func (f wavFile) Size() int64 { return f.WAVLayout.Size }

// blockCell is what the frames of a block are a multiple of, so that it goes on
// where the one before ended.
const blockCell = 64

// step is the bytes of samples in a block.
func (f wavFile) step() int64 {
	return int64(blockBytes / f.FrameBytes / blockCell * blockCell * f.FrameBytes)
}

func (f wavFile) find(offset int64) (number, begins int64) {
	head := int64(len(f.Head))
	if number = max(0, offset-head) / f.step(); number == 0 {
		return 0, 0
	}
	return number, head + number*f.step()
}

func (f wavFile) render(ctx context.Context, sound *api.Sound, number int64) (block, error) {
	end := int64(len(f.Head)) + (number+1)*f.step()
	_, from := f.find(end - 1)
	n := min(end, f.Size()) - from
	var out bytes.Buffer
	out.Grow(int(n))
	err := sound.WriteRange(ctx, &out, from, n)
	return out.Bytes(), err
}
