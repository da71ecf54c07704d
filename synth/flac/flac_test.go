package flac_test

import (
	"bytes"
	"crypto/md5"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	library "github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/flac"
	"reedlark/synth/wav"
)

// A sound of a kind that coders find easy or hard.
type sound struct {
	name string
	at   func(i int) float64 // -1 to 1
}

func sounds() []sound {
	r := rand.New(rand.NewPCG(1, 2))
	return []sound{
		{"silence", func(int) float64 { return 0 }},
		{"one value", func(int) float64 { return -.25 }},
		{"a tone", func(i int) float64 { return .7 * math.Sin(float64(i)*.03) }},
		{"a ramp", func(i int) float64 { return math.Mod(float64(i)/3000, 1.9) - .95 }},
		{"noise", func(int) float64 { return 2*r.Float64() - 1 }},
		{"full scale, to and fro", func(i int) float64 { return float64(1 - 2*(i%2)) }},
		{"silence, then noise", func(i int) float64 { return math.Floor(min(1, float64(i)/5000)) * (2*r.Float64() - 1) }},
	}
}

// samples are so many frames of a sound, the second channel unlike the first.
func (s sound) samples(frames int, f wav.Format) []int32 {
	top := float64(int32(1)<<(f.Depth-1)) - 1
	out := make([]int32, 0, frames*f.Channels)
	for i := range frames {
		x := s.at(i)
		out = append(out, int32(math.Round(x*top)))
		if f.Channels == 2 {
			out = append(out, int32(math.Round(x*top*.9))-int32(i%7))
		}
	}
	return out
}

// encoded is a file of samples that come in pieces.
func encoded(t *testing.T, f wav.Format, samples []int32, piece int) []byte {
	t.Helper()
	file, err := flac.Encode(f, func(take func([]int32) error) error {
		for len(samples) > 0 {
			n := min(piece, len(samples))
			if err := take(samples[:n]); err != nil {
				return err
			}
			samples = samples[n:]
		}
		return nil
	})
	require.NoError(t, err)
	return file
}

// decoded is what the library reads, and what the head of the file says.
func decoded(t *testing.T, file []byte) ([]int32, *library.Stream) {
	t.Helper()
	stream, err := library.New(bytes.NewReader(file))
	require.NoError(t, err)
	out := []int32{}
	for {
		f, err := stream.ParseNext()
		if errors.Is(err, io.EOF) {
			return out, stream
		}
		require.NoError(t, err)
		for i := range f.Subframes[0].Samples {
			for _, c := range f.Subframes {
				out = append(out, c.Samples[i])
			}
		}
	}
}

func formats() []wav.Format {
	return []wav.Format{
		{Rate: 48000, Depth: 16, Channels: 1},
		{Rate: 44100, Depth: 16, Channels: 2},
		{Rate: 22050, Depth: 24, Channels: 1},
		{Rate: 48000, Depth: 24, Channels: 2},
	}
}

// Lengths around the block, and around what a block can be divided by.
func TestEverySampleComesBack(t *testing.T) {
	for _, f := range formats() {
		for _, frames := range []int{0, 1, 2, 5, 16, 64, 100, 4095, 4096, 4097, 10000} {
			for _, s := range sounds() {
				samples := s.samples(frames, f)
				file := encoded(t, f, samples, 1000*f.Channels)
				got, stream := decoded(t, file)
				name := fmt.Sprintf("%s, %d frames, %+v", s.name, frames, f)
				require.Equal(t, samples, got, name)
				require.Equal(t, uint64(frames), stream.Info.NSamples, name)
				require.Equal(t, md5.Sum(wav.Append(nil, samples, f.Depth)), stream.Info.MD5sum, name)
			}
		}
	}
}

func TestPiecesDoNotMatter(t *testing.T) {
	f := formats()[1]
	samples := sounds()[2].samples(9000, f)
	whole := encoded(t, f, samples, len(samples))
	for _, piece := range []int{2, 14, 8192, 9000} {
		assert.Equal(t, whole, encoded(t, f, samples, piece), "%d", piece)
	}
}

// What can be guessed takes little room, what cannot hardly more than as it is.
func TestRoom(t *testing.T) {
	f := formats()[0]
	most := map[string]float64{"silence": .01, "one value": .01, "a tone": .35, "a ramp": .35, "noise": 1.02}
	for _, s := range sounds() {
		limit, ok := most[s.name]
		if !ok {
			continue
		}
		file := encoded(t, f, s.samples(48000, f), 4800)
		assert.Less(t, float64(len(file))/96000, limit, s.name)
	}
}

// The head of a file. ref: RFC 9639, section 8.2.
func TestHead(t *testing.T) {
	f := formats()[3]
	file := encoded(t, f, sounds()[2].samples(10000, f), 500)
	assert.Equal(t, "fLaC", string(file[:4]))
	_, stream := decoded(t, file)
	assert.Equal(t, uint16(4096), stream.Info.BlockSizeMin, "the last block does not count")
	assert.Equal(t, uint16(4096), stream.Info.BlockSizeMax)
	assert.Equal(t, uint32(48000), stream.Info.SampleRate)
	assert.Equal(t, uint8(2), stream.Info.NChannels)
	assert.Equal(t, uint8(24), stream.Info.BitsPerSample)
	assert.Positive(t, stream.Info.FrameSizeMin)
	assert.LessOrEqual(t, stream.Info.FrameSizeMin, stream.Info.FrameSizeMax)
}

func TestWhatFails(t *testing.T) {
	mine := errors.New("a broken reed")
	_, err := flac.Encode(formats()[0], func(func([]int32) error) error { return mine })
	assert.ErrorIs(t, err, mine)
	_, err = flac.Encode(wav.Format{Rate: 48000, Depth: 8, Channels: 1}, func(func([]int32) error) error { return nil })
	assert.ErrorContains(t, err, "8 bits")
}

func BenchmarkEncode(b *testing.B) {
	f := formats()[0]
	samples := sounds()[2].samples(48000, f)
	b.SetBytes(int64(2 * len(samples)))
	for b.Loop() {
		_, err := flac.Encode(f, func(take func([]int32) error) error { return take(samples) })
		require.NoError(b, err)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(samples)), "ns/sample")
}

// A file put together from stretches is the file made whole, byte for byte.
func TestStretches(t *testing.T) {
	for _, f := range formats() {
		for _, frames := range []int{0, 1, 4096, flac.StretchFrames, flac.StretchFrames + 1, 3*flac.StretchFrames - 5, 20 * flac.StretchFrames} {
			samples := sounds()[2].samples(frames, f)
			whole, err := flac.Encode(f, func(take func([]int32) error) error { return take(samples) })
			require.NoError(t, err)
			survey, err := flac.NewSurvey(f)
			require.NoError(t, err)
			var stretches []byte
			full := flac.StretchFrames * f.Channels
			for i := 0; i*full < len(samples); i++ {
				st, err := flac.Code(f, i, func(take func([]int32) error) error {
					return take(samples[i*full : min(len(samples), (i+1)*full)])
				})
				require.NoError(t, err)
				survey.Add(st)
				stretches = append(stretches, st.Bytes...)
			}
			head, ends, err := survey.Done()
			require.NoError(t, err)
			require.True(t, bytes.Equal(whole, append(head, stretches...)), "%+v, %d frames", f, frames)
			if frames > 0 {
				require.Equal(t, int64(len(whole)), ends[len(ends)-1])
			}
		}
	}
}

func TestStretchThatFails(t *testing.T) {
	mine := errors.New("mine")
	_, err := flac.Code(formats()[0], 3, func(func([]int32) error) error { return mine })
	require.ErrorIs(t, err, mine)
	_, err = flac.Code(wav.Format{Rate: 48000, Depth: 8, Channels: 1}, 0, func(func([]int32) error) error { return nil })
	require.Error(t, err)
	_, err = flac.NewSurvey(wav.Format{})
	require.Error(t, err)
}

// BenchmarkStretch codes a stretch late in a long file, and one at its start.
func BenchmarkStretch(b *testing.B) {
	f := formats()[0]
	samples := sounds()[2].samples(flac.StretchFrames, f)
	for _, number := range []int{0, 1000} {
		b.Run(fmt.Sprint(number), func(b *testing.B) {
			for b.Loop() {
				_, err := flac.Code(f, number, func(take func([]int32) error) error { return take(samples) })
				require.NoError(b, err)
			}
		})
	}
}

// The library reads the blocks of a late stretch, checks both of their checksums,
// and finds their numbers.
func TestNumbersOfLateStretches(t *testing.T) {
	f := formats()[0]
	samples := sounds()[4].samples(flac.StretchFrames-100, f)
	for _, number := range []int{1, 15, 16, 255, 256, 8191, 8192, 20000} {
		st, err := flac.Code(f, number, func(take func([]int32) error) error { return take(samples) })
		require.NoError(t, err)
		r := bytes.NewReader(st.Bytes)
		for i := range 8 {
			block, err := frame.Parse(r)
			require.NoError(t, err)
			require.Equal(t, uint64(8*number+i), block.Num)
		}
		require.Zero(t, r.Len())
	}
}
