//go:build outside

package wav_test

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tool runs a program from outside and returns what it printed; anything it
// says on standard error is a complaint about the file.
func tool(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(name, args...)
	var complaints strings.Builder
	cmd.Stderr = &complaints
	out, err := cmd.Output()
	require.NoError(t, err, complaints.String())
	require.Empty(t, complaints.String())
	return out
}

// ffprobe names what the header says; sox hands back the samples.
func TestOutsideReaders(t *testing.T) {
	for _, f := range formats() {
		t.Run(fmt.Sprint(f), func(t *testing.T) {
			samples := ramp(2000, f.Depth)
			name := filepath.Join(t.TempDir(), "ramp.wav")
			require.NoError(t, os.WriteFile(name, file(t, f, samples), 0o600))

			var probe struct {
				Streams []struct {
					Codec    string `json:"codec_name"`
					Rate     string `json:"sample_rate"`
					Channels int
					Frames   int `json:"duration_ts"`
				}
			}
			out := tool(t, "ffprobe", "-v", "warning", "-of", "json", "-show_streams", name)
			require.NoError(t, json.Unmarshal(out, &probe))
			require.Len(t, probe.Streams, 1)
			s := probe.Streams[0]
			assert.Equal(t, fmt.Sprintf("pcm_s%dle", f.Depth), s.Codec)
			assert.Equal(t, strconv.Itoa(f.Rate), s.Rate)
			assert.Equal(t, f.Channels, s.Channels)
			assert.Equal(t, 2000/f.Channels, s.Frames)

			raw := tool(t, "sox", "-V2", name, "-t", "raw", "-e", "signed", "-b", "32", "-L", "-")
			require.Len(t, raw, 4*len(samples))
			for i, want := range samples {
				b := raw[4*i:]
				got := int32(uint32(b[0]) | uint32(b[1])<<8 | uint32(b[2])<<16 | uint32(b[3])<<24)
				require.Equal(t, want<<(32-f.Depth), got, "sample %d", i)
			}
		})
	}
}
