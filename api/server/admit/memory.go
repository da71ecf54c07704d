package admit

import (
	"sync/atomic"
	"time"
)

// Memory bounds what is held for readers until it is sent to them. They may be slow,
// and there may be many.
type Memory struct {
	most int64 // bytes
	held atomic.Int64
}

// NewMemory is a bound of most bytes.
func NewMemory(most int64) *Memory { return &Memory{most: most} }

// Held is how many bytes are held.
func (m *Memory) Held() int64 { return m.held.Load() }

// small is a reservation that readers of large answers leave room for.
const small = 1 << 20

// Reserve takes some bytes, unless all of them, or for a large reservation three
// quarters, are taken.
func (m *Memory) Reserve(bytes int) error {
	if bytes <= small && m.Spare(bytes, 1) || m.Spare(bytes, 0.75) {
		return nil
	}
	return &Refusal{NoMemory, time.Second}
}

// Spare takes some bytes if no more than a share of all are taken then.
func (m *Memory) Spare(bytes int, share float64) bool {
	if float64(m.held.Add(int64(bytes))) <= share*float64(m.most) {
		return true
	}
	m.Release(bytes)
	return false
}

// Release gives some bytes back.
func (m *Memory) Release(bytes int) { m.held.Add(-int64(bytes)) }
