//go:build outside

package synth

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/wav"
)

// TestArm64 runs the goldens as arm64 under qemu-user (Debian's qemu-user):
// the same bytes on another processor.
func TestArm64(t *testing.T) {
	bin := filepath.Join(t.TempDir(), "synth.test")
	build := exec.Command("go", "test", "-c", "-o", bin, ".")
	build.Env = append(os.Environ(), "GOARCH=arm64", "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	out, err = exec.Command("qemu-aarch64", bin, "-test.run", "^TestGolden$", "-test.v").CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	assert.Contains(t, string(out), "--- PASS: TestGolden")
}

// TestLoudnessByFFmpeg: what ffmpeg's ebur128 reads is what was asked for,
// within 0.5 LU over three seconds, and its true peak is under -1 dBTP.
func TestLoudnessByFFmpeg(t *testing.T) {
	for i := range 40 {
		sc, set := loudnessCase(i)
		s, err := Prepare(sc, set)
		require.NoError(t, err)
		lufs, peak := ebur128(t, s)
		assert.InDeltaf(t, s.Report().Loudness, lufs, 0.55, "tune %d of %.1f s, %+v", i, sc.Seconds, set)
		assert.LessOrEqual(t, peak, -1.0)
	}
}

// ebur128 is the integrated loudness and true peak of a sound by ffmpeg, which
// prints tenths.
func ebur128(t *testing.T, s *Sound) (lufs, peak float64) {
	t.Helper()
	format := wav.Format{Rate: s.set.Rate, Depth: s.set.Depth, Channels: s.set.Channels}
	file, err := wav.Header(format, s.Frames())
	require.NoError(t, err)
	file = wav.Append(file, frames(t, s, 0, s.Frames()), s.set.Depth)
	cmd := exec.Command("ffmpeg", "-nostats", "-f", "wav", "-i", "-", "-af", "ebur128=peak=true", "-f", "null", "-")
	cmd.Stdin = bytes.NewReader(file)
	out, err := cmd.CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	out = out[bytes.LastIndex(out, []byte("Summary:")):]
	return number(t, out, `I:\s+(\S+) LUFS`), number(t, out, `Peak:\s+(\S+) dBFS`)
}

func number(t *testing.T, text []byte, pattern string) float64 {
	t.Helper()
	m := regexp.MustCompile(pattern).FindSubmatch(text)
	require.NotNil(t, m, fmt.Sprintf("%s in %s", pattern, text))
	x, err := strconv.ParseFloat(string(m[1]), 64)
	require.NoError(t, err)
	return x
}
