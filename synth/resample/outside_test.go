//go:build outside

package resample

import (
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What sox's best resampler makes of the same sound, up to where both let
// everything through: sweeps under 0.88 of half the lower rate.
func TestAgainstSox(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, p := range pairs {
		from, to := p[0], p[1]
		frames := 2 * from
		x, top := make([]float64, frames), 0.44*float64(min(from, to))
		for i := range x { // up to top in two seconds, fading in and out
			at := float64(i) / float64(frames)
			x[i] = 0.5 * math.Pow(math.Sin(math.Pi*at), 2) * math.Sin(math.Pi*top*at*at*2)
		}
		require.NoError(t, os.WriteFile("in.f64", raw(x), 0o600))
		format := func(rate int) []string {
			return []string{"-t", "f64", "-r", strconv.Itoa(rate), "-c", "1"}
		}
		args := append(append([]string{"-D"}, format(from)...), "in.f64")
		args = append(append(args, format(to)...), "out.f64", "rate", "-v")
		out, err := exec.Command("sox", args...).CombinedOutput()
		require.NoError(t, err, "%s", out)
		text, err := os.ReadFile("out.f64")
		require.NoError(t, err)
		want := make([]float64, len(text)/8)
		for i := range want {
			want[i] = math.Float64frombits(binary.LittleEndian.Uint64(text[8*i:]))
		}
		got := all(t, New(&samples{x, 1}, 1, from, to), 1, 4096)
		require.InDelta(t, len(want), len(got), 1)
		n := min(len(want), len(got))
		worst := 20 * math.Log10(difference(got[:n], want[:n]))
		assert.Less(t, worst, -100.0, "%v", p)
		t.Logf("%v: %.1f dB apart at most", p, worst)
	}
}

func raw(x []float64) []byte {
	var out []byte
	for _, v := range x {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(v))
	}
	return out
}
