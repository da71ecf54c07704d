package midi_test

import (
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/require"
)

// message is one event of a file, its channel apart from its kind.
type message struct {
	tick    int
	kind    byte // 0x80 to 0xE0, or 0xFF
	channel byte
	meta    byte // of 0xFF
	data    []byte
}

// cursor reads a file of the test's own making strictly, by the letter of the
// Standard MIDI Files 1.0 and of nothing else.
type cursor struct {
	t    *testing.T
	data []byte
}

func (c *cursor) take(n int) []byte {
	require.GreaterOrEqual(c.t, len(c.data), n, "the file ends early")
	out := c.data[:n]
	c.data = c.data[n:]
	return out
}

func (c *cursor) number(bytes int) (n int) {
	for _, b := range c.take(bytes) {
		n = n<<8 | int(b)
	}
	return n
}

func (c *cursor) variable() (n int) {
	for range 4 {
		b := c.take(1)[0]
		n = n<<7 | int(b&0x7f)
		if b < 0x80 {
			return n
		}
	}
	require.Fail(c.t, "a variable-length quantity of over four bytes")
	return 0
}

// read is every track of a file and its ticks a quarter.
func read(t *testing.T, file []byte) (tracks [][]message, division int) {
	t.Helper()
	c := &cursor{t, file}
	require.Equal(t, "MThd", string(c.take(4)))
	require.Equal(t, 6, c.number(4))
	require.Equal(t, 1, c.number(2), "format")
	count := c.number(2)
	division = int(binary.BigEndian.Uint16(c.take(2)))
	require.Less(t, division, 0x8000, "ticks, not frames")
	for range count {
		require.Equal(t, "MTrk", string(c.take(4)))
		size := c.number(4)
		tracks = append(tracks, track(&cursor{t, c.take(size)}))
	}
	require.Empty(t, c.data)
	return tracks, division
}

func track(c *cursor) (out []message) {
	tick, status := 0, byte(0)
	for {
		tick += c.variable()
		require.NotEmpty(c.t, c.data)
		if c.data[0] >= 0x80 {
			status = c.take(1)[0]
		}
		m := message{tick: tick, kind: status & 0xf0, channel: status & 0x0f}
		switch {
		case status == 0xff:
			m.kind, m.channel, m.meta = 0xff, 0, c.take(1)[0]
			m.data = c.take(c.variable())
		case m.kind == 0xc0 || m.kind == 0xd0:
			m.data = c.take(1)
		default:
			require.True(c.t, m.kind >= 0x80 && m.kind <= 0xe0, "status %x", status)
			m.data = c.take(2)
		}
		out = append(out, m)
		if m.kind == 0xff && m.meta == 0x2f {
			require.Empty(c.t, c.data, "bytes after the end of a track")
			return out
		}
	}
}
