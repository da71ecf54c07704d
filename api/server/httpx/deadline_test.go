package httpx

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestTimeToRead(t *testing.T) {
	for _, c := range []struct {
		rate, bytes int
		want        time.Duration
	}{{4096, 4096, 6 * time.Second}, {4096, 64 << 10, 21 * time.Second}, {1 << 20, 64 << 10, firstPause + time.Second/16}} {
		require.Equal(t, c.want, deadlineWriter{rate: c.rate}.allowed(c.bytes))
	}
}
