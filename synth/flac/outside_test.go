//go:build outside

package flac_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/wav"
)

// TestByFlac: the format's own program (Debian's flac) finds nothing wrong,
// not even a warning, and unpacks the very samples.
func TestByFlac(t *testing.T) {
	name := filepath.Join(t.TempDir(), "sound.flac")
	for _, f := range formats() {
		for _, s := range sounds() {
			for _, frames := range []int{1, 4096, 30001} {
				samples := s.samples(frames, f)
				require.NoError(t, os.WriteFile(name, encoded(t, f, samples, 999*f.Channels), 0o600))
				out, err := exec.Command("flac", "-t", "-w", "-s", name).CombinedOutput()
				require.NoErrorf(t, err, "%s, %d frames, %+v: %s", s.name, frames, f, out)
				raw, err := exec.Command("flac", "-d", "-c", "-s", "--force-raw-format", "--endian=little", "--sign=signed", name).Output()
				require.NoError(t, err)
				assert.Equal(t, wav.Append(nil, samples, f.Depth), raw, "%s, %d frames, %+v", s.name, frames, f)
			}
		}
	}
}
