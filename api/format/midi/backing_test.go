package midi_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/midi"
	"reedlark/tab"
	"reedlark/tab/perform"
)

// backed is the file of a page that is played along with.
func backed(t *testing.T, page string, s perform.Settings) [][]message {
	t.Helper()
	doc := tab.Parse(page, tab.Options{Chords: true})
	require.Empty(t, doc.Problems)
	sc, problems := perform.Perform(doc, s)
	require.Empty(t, problems)
	file, err := midi.Write(t.Context(), sc, midi.Words{})
	require.NoError(t, err)
	tracks, division := read(t, file)
	require.Equal(t, midi.TicksPerBeat, division)
	return tracks
}

// strikes are the notes that begin on a track: beat and key.
func strikes(track []message) (out []at) {
	for _, m := range track {
		if m.kind == 0x90 && m.data[1] > 0 {
			out = append(out, at{float64(m.tick) / midi.TicksPerBeat, int(m.data[0])})
		}
	}
	return out
}

// name is what a track is called.
func name(track []message) string {
	for _, m := range track {
		if m.kind == 0xf0 && m.meta == 3 || m.kind == 0xff && m.meta == 3 {
			return string(m.data)
		}
	}
	return ""
}

// Each player has a named track and a channel of its own. In C: bass C3 and G2,
// chord G3 C4 E4 (MIDI 48, 43; 55, 60, 64).
func TestBackingTracks(t *testing.T) {
	tracks := backed(t, "Metre: 4/4\nchords: C\n4 4 5 5\n", perform.Settings{Backing: perform.Chords, CountIn: 1})
	require.Len(t, tracks, 4)
	assert.Equal(t, []at{{0, 48}, {2, 43}}, strikes(tracks[2]))
	assert.Equal(t, []at{{1, 55}, {1, 60}, {1, 64}, {3, 55}, {3, 60}, {3, 64}}, strikes(tracks[3]))
	assert.Equal(t, []string{"Harmonica in C", "Bass", "Comping"}, []string{name(tracks[1]), name(tracks[2]), name(tracks[3])})
	seen := map[byte]int{}
	for i, track := range tracks {
		for _, m := range track {
			if m.kind == 0x90 {
				assert.Contains(t, []int{0, i}, seen[m.channel], "channel %d on two tracks", m.channel)
				seen[m.channel] = i
			}
		}
	}
	assert.Len(t, seen, 3)
}

// A drone lasts as long as the music; a page of chords alone has no harp.
func TestBackingAlone(t *testing.T) {
	tracks := backed(t, "Metre: 3/4\nchords: G D\n", perform.Settings{Backing: perform.Drone, Position: 2})
	require.Len(t, tracks, 2)
	assert.Equal(t, "Drone", name(tracks[1]))
	assert.Equal(t, []at{{0, 43}, {0, 50}}, strikes(tracks[1]))
	last := tracks[1][len(tracks[1])-1]
	assert.Equal(t, 6*midi.TicksPerBeat, last.tick)
	tracks = backed(t, "chords: G D\n", perform.Settings{Backing: perform.Chords, A4: 442})
	require.Len(t, tracks, 3)
	assert.Equal(t, 0.0, strikes(tracks[1])[0].beat)
}
