package wav

import (
	"bytes"
	"encoding/binary"
	"testing"

	reader "github.com/go-audio/wav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The bytes, by hand, from the tables of the specification that Cues names.
func TestCueBytes(t *testing.T) {
	assert.Nil(t, Cues(nil))
	want := "cue \x34\x00\x00\x00\x02\x00\x00\x00" +
		"\x01\x00\x00\x00\x07\x00\x00\x00data\x00\x00\x00\x00\x00\x00\x00\x00\x07\x00\x00\x00" +
		"\x02\x00\x00\x00\x00\x01\x00\x00data\x00\x00\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00" +
		"LIST\x24\x00\x00\x00adtl" +
		"labl\x07\x00\x00\x00\x01\x00\x00\x00L1\x00\x00" +
		"labl\x08\x00\x00\x00\x02\x00\x00\x00L12\x00"
	assert.Equal(t, want, string(Cues([]Cue{{256, "L12"}, {7, "L1"}})))
}

// A general-purpose reader finds the samples and the places.
func TestCuesReadBack(t *testing.T) {
	cues := []Cue{{0, "L1"}, {1, "Chorus, L3"}, {2, "é"}}
	f := Format{Rate: 44100, Depth: 16, Channels: 1}
	after := Cues(cues)
	require.Zero(t, len(after)%2)
	file, err := HeaderBefore(f, 4, len(after))
	require.NoError(t, err)
	require.Len(t, file, HeaderSize)
	file = append(Append(file, []int32{1, -2, 3, -4}, 16), after...)
	assert.EqualValues(t, len(file)-8, binary.LittleEndian.Uint32(file[4:]))

	d := reader.NewDecoder(bytes.NewReader(file))
	sound, err := d.FullPCMBuffer()
	require.NoError(t, err)
	assert.Equal(t, []int{1, -2, 3, -4}, sound.Data)
	d = reader.NewDecoder(bytes.NewReader(file))
	d.ReadMetadata()
	require.NoError(t, d.Err())
	require.NotNil(t, d.Metadata)
	require.Len(t, d.Metadata.CuePoints, 3)
	for i, c := range d.Metadata.CuePoints {
		assert.EqualValues(t, cues[i].Frame, c.Position)
		assert.EqualValues(t, cues[i].Frame, c.SampleOffset)
		assert.Equal(t, "data", string(c.DataChunkID[:]))
	}
}

func TestCuesThatDoNotFit(t *testing.T) {
	f := Format{Rate: 48000, Depth: 16, Channels: 1}
	most := int64(maxDataSize / 2)
	_, err := HeaderBefore(f, most, 0)
	require.NoError(t, err)
	_, err = HeaderBefore(f, most, 24)
	require.Error(t, err)
}
