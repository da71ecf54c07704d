package wav_test

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"math"
	"testing"

	gowav "github.com/go-audio/wav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/wav"
)

// formats are all that a caller may ask for.
func formats() []wav.Format {
	var out []wav.Format
	for _, rate := range []int{22050, 44100, 48000} {
		for _, depth := range []int{16, 24} {
			for _, channels := range []int{1, 2} {
				out = append(out, wav.Format{Rate: rate, Depth: depth, Channels: channels})
			}
		}
	}
	return out
}

// ramp is n samples from one end of the depth's range to the other, both ends,
// zero and its neighbours among them.
func ramp(n, depth int) []int32 {
	top := int32(1)<<(depth-1) - 1
	out := []int32{-top - 1, top, 0, -1, 1, -256, 255}
	for i := len(out); i < n; i++ {
		out = append(out, int32(int64(i)*int64(2*top)/int64(n))-top)
	}
	return out[:n]
}

func file(t testing.TB, f wav.Format, samples []int32) []byte {
	t.Helper()
	b, err := wav.Header(f, int64(len(samples)/f.Channels))
	require.NoError(t, err)
	return wav.Append(b, samples, f.Depth)
}

// The independent reader is go-audio/wav's decoder.
func TestReadBack(t *testing.T) {
	for _, f := range formats() {
		t.Run(fmt.Sprint(f), func(t *testing.T) {
			samples := ramp(2000, f.Depth)
			b := file(t, f, samples)
			d := gowav.NewDecoder(bytes.NewReader(b))
			require.True(t, d.IsValidFile())
			buf, err := d.FullPCMBuffer()
			require.NoError(t, err)
			assert.Equal(t, f, wav.Format{Rate: int(d.SampleRate), Depth: int(d.BitDepth), Channels: int(d.NumChans)})
			assert.EqualValues(t, f.Rate*f.Channels*f.Depth/8, d.AvgBytesPerSec)
			assert.EqualValues(t, 1, d.WavAudioFormat, "PCM")
			require.Len(t, buf.Data, len(samples))
			for i, s := range samples {
				require.EqualValues(t, s, buf.Data[i], "sample %d", i)
			}
		})
	}
}

// The bytes written out by hand from the 1991 specification's tables: RIFF
// form, fmt chunk with its common fields and the PCM field, data chunk.
func TestHeaderByHand(t *testing.T) {
	b := file(t, wav.Format{Rate: 44100, Depth: 16, Channels: 2}, []int32{1, -1, 0x1234, -0x8000})
	assert.Equal(t, ""+
		"52494646"+"2c000000"+"57415645"+ // RIFF, 36+8, WAVE
		"666d7420"+"10000000"+ // fmt, 16
		"0100"+"0200"+"44ac0000"+"10b10200"+"0400"+"1000"+ // PCM, 2, 44100, 176400, 4, 16
		"64617461"+"08000000"+ // data, 8
		"0100"+"ffff"+"3412"+"0080", hex.EncodeToString(b))
	b = wav.Append(nil, []int32{1, -1, 0x123456, -0x800000}, 24)
	assert.Equal(t, "010000"+"ffffff"+"563412"+"000080", hex.EncodeToString(b))
}

func TestHeaderRefuses(t *testing.T) {
	mono := wav.Format{Rate: 48000, Depth: 16, Channels: 1}
	cases := []struct {
		name   string
		format wav.Format
		frames int64
		says   string
	}{
		{"too long by one frame", mono, (math.MaxUint32-36)/2 + 1, "4 GiB"},
		{"far too long", mono, math.MaxInt64, "4 GiB"},
		{"negative", mono, -1, "4 GiB"},
		{"odd bytes", wav.Format{Rate: 48000, Depth: 24, Channels: 1}, 3, "odd"},
		{"8 bits", wav.Format{Rate: 48000, Depth: 8, Channels: 1}, 2, "8 bits"},
		{"no rate", wav.Format{Depth: 16, Channels: 1}, 2, "rate"},
		{"3 channels", wav.Format{Rate: 48000, Depth: 16, Channels: 3}, 2, "3 channels"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b, err := wav.Header(c.format, c.frames)
			require.ErrorContains(t, err, c.says)
			assert.Empty(t, b)
		})
	}
}

func TestHeaderAtTheLimit(t *testing.T) {
	f := wav.Format{Rate: 48000, Depth: 16, Channels: 1}
	b, err := wav.Header(f, (math.MaxUint32-36)/2)
	require.NoError(t, err)
	require.Len(t, b, wav.HeaderSize)
	assert.Equal(t, []byte{0xfe, 0xff, 0xff, 0xff}, b[4:8], "36 + the data, just under 4 GiB")
}

// Append must leave what is there and allocate nothing where there is room.
func TestAppendKeepsWhatIsThere(t *testing.T) {
	dst := append(make([]byte, 0, 100), "head"...)
	out := wav.Append(dst, []int32{0x0102}, 16)
	assert.Equal(t, []byte("head\x02\x01"), out)
	assert.Equal(t, "head", string(dst))
	samples := ramp(20, 24)
	assert.Zero(t, testing.AllocsPerRun(10, func() { out = wav.Append(dst, samples, 24) }))
}

func ExampleHeader() {
	f := wav.Format{Rate: 48000, Depth: 16, Channels: 1}
	b, err := wav.Header(f, 2)
	b = wav.Append(b, []int32{0, 1000}, f.Depth)
	fmt.Printf("%s %s %d bytes, %v\n", b[:4], b[8:12], len(b), err)
	// Output: RIFF WAVE 48 bytes, <nil>
}

func BenchmarkAppend(b *testing.B) {
	for _, depth := range []int{16, 24} {
		b.Run(fmt.Sprint(depth), func(b *testing.B) {
			samples, dst := ramp(4096, depth), make([]byte, 0, 4096*3)
			b.SetBytes(int64(len(samples) * depth / 8))
			for b.Loop() {
				wav.Append(dst, samples, depth)
			}
		})
	}
}
