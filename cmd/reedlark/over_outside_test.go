//go:build outside

package main

import (
	"fmt"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Recordings as ffmpeg writes them, in every format that is read and at many
// rates, and the mix as ffmpeg measures it (EBU R 128).
func TestOverRecordingsOfFFmpeg(t *testing.T) {
	for _, c := range []struct {
		codec          string
		rate, channels int
		filter         string
	}{
		{"pcm_u8", 8000, 1, ""},
		{"pcm_s16le", 44100, 2, ""},
		{"pcm_s24le", 96000, 2, ""},
		{"pcm_s32le", 192000, 1, ""},
		{"pcm_f32le", 48000, 2, ""},
		{"pcm_f64le", 44056, 1, ""},
		{"pcm_s16le", 44100, 2, ",volume=20dB"},
		{"pcm_f32le", 44100, 2, ",volume=24dB"},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			folder(t, map[string]string{"tune.txt": "4 -4 5 -5 6--- r 6 -5 5 -4 4---\n"})
			source := fmt.Sprintf("anoisesrc=d=20:c=pink:a=0.2:seed=3:r=%d,lowpass=f=3000%s", c.rate, c.filter)
			out, err := exec.Command("ffmpeg", "-v", "error", "-f", "lavfi", "-i", source, "-ac", strconv.Itoa(c.channels), "-c:a", c.codec, "band.wav").CombinedOutput()
			require.NoError(t, err, "%s", out)
			got := call(t, "", "render", "tune.txt", "--over", "band.wav", "--at", "4", "--duck", "6", "--above", "2", "-o", "both.wav")
			require.Equal(t, 0, got.code, got.err)
			before, _ := measured(t, "band.wav")
			after, peak := measured(t, "both.wav")
			assert.LessOrEqual(t, peak, -1.0)
			if c.filter == "" {
				assert.InDelta(t, before, after, 3, "the recording, lowered for half its length, and a harp a little louder")
			}
		})
	}
}

// measured is what ffmpeg says of a file: LUFS and dBTP.
func measured(t *testing.T, file string) (loudness, peak float64) {
	t.Helper()
	out, err := exec.Command("ffmpeg", "-hide_banner", "-nostats", "-i", file, "-af", "ebur128=peak=true", "-f", "null", "-").CombinedOutput()
	require.NoError(t, err, "%s", out)
	figure := func(pattern string) float64 {
		all := regexp.MustCompile(pattern).FindAllSubmatch(out, -1)
		require.NotEmpty(t, all, "%s", out)
		v, err := strconv.ParseFloat(string(all[len(all)-1][1]), 64)
		require.NoError(t, err)
		return v
	}
	return figure(`I:\s+(-?[\d.]+) LUFS`), figure(`Peak:\s+(-?[\d.]+) dBFS`)
}
