package synth

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the goldens anew")

// goldens are the renders whose samples are fixed: every rate, depth, number
// of channels and room, over tunes that have everything.
func goldens(t *testing.T) string {
	var out strings.Builder
	fmt.Fprintf(&out, "version %s\n", Version)
	for i, set := range []Settings{
		{Rate: 48000, Depth: 16, Channels: 1, Loudness: -16},
		{Rate: 48000, Depth: 16, Channels: 1, Room: 0.15, Loudness: -16},
		{Rate: 44100, Depth: 24, Channels: 2, Room: 0.7, Loudness: -20},
		{Rate: 22050, Depth: 16, Channels: 2, Room: 1, Loudness: -8},
		{Rate: 22050, Depth: 24, Channels: 1, Loudness: -30},
	} {
		s := mixed(t, uint64(40+i), 16, set)
		fmt.Fprintf(&out, "%d/%d/%d room %g at %g: %s\n", set.Rate, set.Depth, set.Channels,
			set.Room, set.Loudness, digest(frames(t, s, 0, s.Frames())))
	}
	for i, set := range []Settings{
		{Rate: 48000, Depth: 16, Channels: 1, Room: 0.15, Loudness: -16},
		{Rate: 44100, Depth: 16, Channels: 2, Split: true, Room: 0.3, Loudness: -20},
	} {
		c := newSeeded(uint64(50 + i))
		s, err := Prepare(accompany(c, invent(c, 16, beats{0.2, 0.5})), set)
		require.NoError(t, err)
		fmt.Fprintf(&out, "%d/%d/%d with a band, split %v: %s\n", set.Rate, set.Depth, set.Channels, set.Split, digest(frames(t, s, 0, s.Frames())))
	}
	for i, set := range []Settings{
		{Rate: 48000, Depth: 16, Channels: 1, Loudness: -16},
		{Rate: 44100, Depth: 24, Channels: 2, Room: 0.15, Loudness: -20},
		{Rate: 22050, Depth: 16, Channels: 2, Split: true, Room: 0.3, Loudness: -12},
	} {
		c := newSeeded(uint64(60 + i))
		s, err := Prepare(alive(kitted(c, accompany(c, invent(c, 16, beats{0.2, 0.9})))), set)
		require.NoError(t, err)
		fmt.Fprintf(&out, "%d/%d/%d played, split %v: %s\n", set.Rate, set.Depth, set.Channels, set.Split, digest(frames(t, s, 0, s.Frames())))
	}
	return out.String()
}

// TestGolden: the same score gives the same bytes for ever, on every
// processor. Where a change is meant, Version changes too and the file is
// written anew with -update.
func TestGolden(t *testing.T) {
	file := filepath.Join("testdata", "golden.txt")
	got := goldens(t)
	if *update {
		old, _ := os.ReadFile(file)
		require.False(t, len(old) > 0 && string(old) != got && sameVersion(string(old), got),
			"the samples change, so must Version")
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

func sameVersion(a, b string) bool {
	x, _, _ := strings.Cut(a, "\n")
	y, _, _ := strings.Cut(b, "\n")
	return x == y
}
