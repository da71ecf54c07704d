package midi_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"reedlark/api/format/midi"
	"reedlark/tab/melody"
)

// struck is a note for a test file, in ticks of 480 a quarter.
type struck struct{ at, length, key int }

// midiFile writes a file with a library.
func midiFile(t require.TestingT, channel uint8, metre [2]uint8, notes ...struck) []byte {
	var track smf.Track
	track.Add(0, smf.MetaTrackSequenceName("Lead"))
	track.Add(0, smf.MetaTempo(90))
	if metre[0] > 0 {
		track.Add(0, smf.MetaMeter(metre[0], metre[1]))
	}
	now := 0
	for _, n := range notes {
		track.Add(uint32(n.at-now), gomidi.NoteOn(channel, uint8(n.key), 90))
		track.Add(uint32(n.length), gomidi.NoteOff(channel, uint8(n.key)))
		now = n.at + n.length
	}
	track.Close(0)
	file := smf.New()
	file.TimeFormat = smf.MetricTicks(480)
	require.NoError(t, file.Add(track))
	var out bytes.Buffer
	_, err := file.WriteTo(&out)
	require.NoError(t, err)
	return out.Bytes()
}

func brief(t *melody.Tune) string {
	var out []string
	for _, n := range t.Notes {
		out = append(out, fmt.Sprintf("%s@%s+%s", n.Pitches[0].Name, n.At, n.Length))
	}
	for _, b := range t.Bars {
		out = append(out, "|"+b.Number+"@"+b.At.String())
	}
	return strings.Join(out, " ")
}

// A note that ends a little early lasts until the next; silence that is longer is a
// rest; what lies a little beside its place is moved there.
func TestRead(t *testing.T) {
	for name, c := range map[string]struct {
		metre [2]uint8
		notes []struck
		want  string
	}{
		"detached":   {[2]uint8{4, 4}, []struck{{0, 440, 60}, {480, 230, 62}, {720, 200, 64}, {960, 900, 65}}, "C4@0+1 D4@1+1/2 E4@3/2+1/2 F4@2+2 |1@0"},
		"a rest":     {[2]uint8{4, 4}, []struck{{0, 470, 60}, {960, 470, 62}}, "C4@0+1 D4@2+1 |1@0"},
		"triplets":   {[2]uint8{2, 4}, []struck{{0, 150, 60}, {161, 150, 62}, {319, 150, 64}, {480, 460, 65}}, "C4@0+1/3 D4@1/3+1/3 E4@2/3+1/3 F4@1+1 |1@0"},
		"a pick-up":  {[2]uint8{3, 4}, []struck{{960, 470, 60}, {1440, 1430, 62}}, "C4@0+1 D4@1+3 |0@0 |1@1"},
		"a bar line": {[2]uint8{2, 4}, []struck{{0, 470, 60}, {480, 950, 62}, {1440, 470, 64}}, "C4@0+1 D4@1+2 E4@3+1 |1@0 |2@2"},
	} {
		tunes, err := midi.Read(midiFile(t, 0, c.metre, c.notes...))
		require.NoError(t, err, name)
		require.Len(t, tunes, 1)
		assert.Equal(t, c.want, brief(tunes[0]), name)
		assert.Equal(t, "Lead", tunes[0].Part)
		assert.InDelta(t, 90, tunes[0].Tempo, 1e-3)
	}
	drums, err := midi.Read(midiFile(t, 9, [2]uint8{4, 4}, struck{0, 480, 60}))
	require.NoError(t, err)
	assert.Empty(t, drums)
}

// A file that was played finds its beats in the seconds.
func TestReadPlayed(t *testing.T) {
	var notes []struck
	for i, late := range []int{0, 23, -31, 17, 29, -19, 37, -23, 11, -37, 41, 13} {
		notes = append(notes, struck{600*i + late + 50, 400, 60 + i%5})
	}
	tunes, err := midi.Read(midiFile(t, 0, [2]uint8{}, notes...))
	require.NoError(t, err)
	assert.Contains(t, strings.Join(tunes[0].Remarks, " "), "a guess")
	for i, n := range tunes[0].Notes[1:] {
		assert.Equal(t, tunes[0].Notes[0].Length, n.Length, "note %d", i+1)
	}
}

// FuzzRead: whatever is read ends, with notes in order.
func FuzzRead(f *testing.F) {
	f.Add(midiFile(f, 0, [2]uint8{3, 4}, struck{0, 440, 60}, struck{480, 100, 62}))
	f.Add([]byte("MThd\x00\x00\x00\x06\x00\x01\x00\x01\x00\x60MTrk\x00\x00\x00\x0c\x00\x90\x3c\x40\x60\x80\x3c\x00\x00\xff\x2f\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<14 {
			return
		}
		tunes, err := midi.Read(data)
		if err != nil {
			return
		}
		for _, v := range tunes {
			for i := range v.Notes {
				n := &v.Notes[i]
				require.NotEmpty(t, n.Pitches)
				require.Positive(t, n.Length.Sign(), "%v", n)
				require.False(t, v.Length.Less(n.End()), "%v", n)
				require.False(t, i > 0 && n.At.Less(v.Notes[i-1].At))
			}
		}
	})
}
