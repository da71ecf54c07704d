package api_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/synth/wav"
)

// opened is a page, opened with a change to the defaults.
func opened(t *testing.T, page string, change func(*api.Request)) *api.Piece {
	t.Helper()
	req := api.Defaults()
	req.Tab = page
	change(&req)
	p, err := api.Open(t.Context(), req)
	require.NoError(t, err)
	return p
}

// The samples of a FLAC file, read by its library, are those of the WAV file.
func TestFLACHasTheSamplesOfTheWAV(t *testing.T) {
	for _, channels := range []int{1, 2} {
		for _, depth := range []int{16, 24} {
			p := opened(t, "45 -3//- (4)5 -> 7\n", func(r *api.Request) { r.Channels, r.Depth, r.Tempo = channels, depth, 200 })
			sound, err := p.Sound(t.Context())
			require.NoError(t, err)
			var file bytes.Buffer
			require.NoError(t, sound.WriteTo(t.Context(), &file))
			packed, err := sound.FLAC(t.Context())
			require.NoError(t, err)
			assert.Equal(t, file.Bytes()[wav.HeaderSize:], unpacked(t, packed, depth))
			assert.Less(t, len(packed), file.Len()*3/4)
		}
	}
}

// unpacked are the samples of a FLAC file as bytes.
func unpacked(t *testing.T, file []byte, depth int) (out []byte) {
	t.Helper()
	stream, err := flac.New(bytes.NewReader(file))
	require.NoError(t, err)
	for {
		f, err := stream.ParseNext()
		if errors.Is(err, io.EOF) {
			return out
		}
		require.NoError(t, err)
		for i := range f.Subframes[0].Samples {
			for _, c := range f.Subframes {
				out = wav.Append(out, c.Samples[i:i+1], depth)
			}
		}
	}
}

func TestFLACThatIsInterrupted(t *testing.T) {
	sound, err := opened(t, "4--- 5---\n", func(*api.Request) {}).Sound(t.Context())
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err = sound.FLAC(ctx)
	assert.ErrorIs(t, err, context.Canceled)
}

// What is in the file is tested where it is written; here, that the page's own
// words get there.
func TestMIDIHasTheWordsOfThePage(t *testing.T) {
	file, err := opened(t, "Title: Low water\n4 5\nfare well\n", func(*api.Request) {}).MIDI(t.Context())
	require.NoError(t, err)
	assert.Equal(t, "MThd", string(file[:4]))
	for _, text := range []string{"\xff\x03\x09Low water", "\xff\x05\x04fare", "\xff\x05\x04well"} {
		assert.Contains(t, string(file), text)
	}
}

func TestMusicXMLOfAPage(t *testing.T) {
	p := opened(t, "Title: Low water\nHarp: G\n4 5\nfare well\n", func(*api.Request) {})
	for forC, step := range map[bool]string{false: "<step>G</step>", true: "<step>C</step>"} {
		file, err := p.MusicXML(t.Context(), forC)
		require.NoError(t, err)
		for _, text := range []string{"<work-title>Low water</work-title>", "<text>fare</text>", "<text>well</text>", step} {
			assert.Contains(t, string(file), text)
		}
		assert.Equal(t, forC, bytes.Contains(file, []byte("<chromatic>-5</chromatic>")))
	}
}

func TestMusicXMLHasNoOctaveUnderC0(t *testing.T) {
	p := opened(t, "-1////////////\n", func(r *api.Request) {
		require.NoError(t, r.Set("harp", "low G"))
		r.Layout = api.Layout{
			Name: "custom",
			Blow: []string{"C2", "E4", "G4", "C5", "E5", "G5", "C6", "E6", "G6", "C7"},
			Draw: []string{"C2", "G4", "B4", "D5", "F5", "A5", "B5", "D6", "F6", "A6"},
		}
	})
	_, err := p.MusicXML(t.Context(), false)
	var call *api.CallError
	require.ErrorAs(t, err, &call)
	assert.Equal(t, api.NotAllowed, call.Kind)
}
