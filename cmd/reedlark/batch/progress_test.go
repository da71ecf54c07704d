package batch

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMeter(t *testing.T) {
	var screen, file bytes.Buffer
	m := NewMeter(&file, 200, &screen)
	assert.False(t, m.Shown(), "no terminal, no bar")
	m.screen = &screen
	for range 2 {
		n, err := m.Write(make([]byte, 100))
		require.NoError(t, err)
		require.Equal(t, 100, n)
	}
	assert.Equal(t, "\r["+strings.Repeat("=", 15)+strings.Repeat(" ", 15)+"]  50 %", screen.String(), "not at every write")
	assert.Equal(t, 200, file.Len())
	width := screen.Len() - 1
	screen.Reset()
	m.Wipe()
	assert.Equal(t, "\r"+strings.Repeat(" ", width)+"\r", screen.String())
}

func TestProgress(t *testing.T) {
	var screen bytes.Buffer
	p := NewProgress(&screen, 100)
	assert.False(t, p.Shown(), "no terminal, no bar")
	p.screen, p.begun = &screen, time.Now().Add(-30*time.Second)
	p.Step(false)
	assert.Contains(t, screen.String(), "\r["+strings.Repeat(" ", 30)+"] 1 of 100")
	assert.NotContains(t, screen.String(), "left", "nothing is known of the pace yet")
	p.drawn = time.Time{}
	p.done, p.made = 49, 9
	p.Step(true)
	assert.Contains(t, screen.String(), "] 50 of 100, 2 min 30 s left", "ten took 30 seconds, fifty take five times as long")
	for d, want := range map[time.Duration]string{59 * time.Second: "59 s", time.Minute: "1 min 0 s", 90 * time.Minute: "1 h 30 min"} {
		assert.Equal(t, want, minutes(d))
	}
}
