//go:build outside

package api_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// ffprobe takes cue points for chapters: it finds them, their names and the
// whole sound before them.
func TestCuesAsFFprobeReadsThem(t *testing.T) {
	for _, more := range []string{"", "&depth=24", "&channels=2&rate=44100", "&depth=24&rate=22050"} {
		query := "tab=[Chorus]%0A4+-4+5%0A5+-5&tempo=60&room=0" + more
		name := filepath.Join(t.TempDir(), "cues.wav")
		require.NoError(t, os.WriteFile(name, fileOf(t, query+"&cues=true"), 0o600))
		out, err := exec.Command("ffprobe", "-v", "error", "-of", "json", "-show_chapters", "-show_streams", name).Output()
		require.NoError(t, err)
		var probe struct {
			Streams []struct {
				Duration float64 `json:"duration,string"`
			}
			Chapters []struct {
				Start float64 `json:"start_time,string"`
				Tags  struct{ Title string }
			}
		}
		require.NoError(t, json.Unmarshal(out, &probe))
		require.Len(t, probe.Chapters, 2)
		require.Equal(t, "Chorus, L2", probe.Chapters[0].Tags.Title)
		require.Equal(t, "L3", probe.Chapters[1].Tags.Title)
		require.InDelta(t, 0.015, probe.Chapters[0].Start, 1e-4)
		require.InDelta(t, 3.015, probe.Chapters[1].Start, 1e-4)
		require.Len(t, probe.Streams, 1)
		require.InDelta(t, 5.265, probe.Streams[0].Duration, 1e-4, "the tail is not taken for sound")
	}
}
