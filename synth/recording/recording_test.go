package recording

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// file is a WAV file of chunks, each with its name, its body, and a byte more
// where that is odd.
func file(chunks ...string) string {
	body := "WAVE"
	for i := 0; i < len(chunks); i += 2 {
		body += chunks[i] + string(binary.LittleEndian.AppendUint32(nil, uint32(len(chunks[i+1])))) + chunks[i+1]
		if len(chunks[i+1])%2 != 0 {
			body += "\x00"
		}
	}
	return "RIFF" + string(binary.LittleEndian.AppendUint32(nil, uint32(len(body)))) + body
}

// format is the body of a format chunk. ref: RFC 2361, section 2.
func format(kind, channels, rate, depth int) string {
	le := binary.LittleEndian
	b := le.AppendUint16(nil, uint16(kind))
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*channels*depth/8))
	b = le.AppendUint16(b, uint16(channels*depth/8))
	return string(le.AppendUint16(b, uint16(depth)))
}

// extensible is the same in the long form. ref: Microsoft, Multiple Channel
// Audio Data and WAVE Files: KSDATAFORMAT_SUBTYPE_PCM is
// 00000001-0000-0010-8000-00AA00389B71, of floating point 00000003-….
func extensible(kind, channels, rate, depth int) string {
	le := binary.LittleEndian
	b := le.AppendUint16([]byte(format(0xfffe, channels, rate, depth)), 22)
	b = le.AppendUint16(b, uint16(depth))
	b = le.AppendUint32(b, 0) // no speaker in particular
	b = le.AppendUint16(b, uint16(kind))
	return string(append(b, "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"...))
}

func open(t *testing.T, text string) *Recording {
	t.Helper()
	r, err := Open(bytes.NewReader([]byte(text)), int64(len(text)))
	require.NoError(t, err)
	return r
}

// all reads a recording in blocks of so many frames.
func all(t *testing.T, r *Recording, block int) []float64 {
	t.Helper()
	var out []float64
	x := make([]float64, block*r.Channels)
	for reader := r.Read(); ; {
		n, err := reader.Read(x)
		out = append(out, x[:n*r.Channels]...)
		if errors.Is(err, io.EOF) {
			require.Zero(t, n)
			return out
		}
		require.NoError(t, err)
	}
}

// Whole numbers as another program's encoder stores them.
func TestWholeNumbers(t *testing.T) {
	for depth, values := range map[int][]int{
		8:  {0, 1, 127, 128, 129, 255}, // unsigned
		16: {-32768, -32767, -1, 0, 1, 32767},
		24: {-8388608, -8388607, -1, 0, 1, 8388607},
		32: {math.MinInt32, -math.MaxInt32, -1, 0, 1, math.MaxInt32},
	} {
		for _, channels := range []int{1, 2} {
			f, err := os.Create(filepath.Join(t.TempDir(), "a.wav"))
			require.NoError(t, err)
			e := wav.NewEncoder(f, 44100, depth, channels, 1)
			require.NoError(t, e.Write(&audio.IntBuffer{
				Format: &audio.Format{NumChannels: channels, SampleRate: 44100}, Data: values, SourceBitDepth: depth,
			}))
			require.NoError(t, e.Close())
			info, err := f.Stat()
			require.NoError(t, err)
			r, err := Open(f, info.Size())
			require.NoError(t, err)
			assert.Equal(t, []int{44100, channels, depth, 6 / channels}, []int{r.Rate, r.Channels, r.Depth, int(r.Frames)})
			want := make([]float64, len(values))
			for i, v := range values {
				want[i] = float64(v) / math.Exp2(float64(depth-1))
				if depth == 8 {
					want[i] = (float64(v) - 128) / 128
				}
			}
			assert.Equal(t, want, all(t, r, 2), "%d bits, %d channels", depth, channels)
			assert.Equal(t, want, all(t, r, 100))
			require.NoError(t, f.Close())
		}
	}
}

// Floating point, and the long form of the format, which has the kind of its
// samples elsewhere.
func TestFloatingPointAndExtensible(t *testing.T) {
	values := []float64{0, 1, -1, 0.5, -1.25, 1e-9, math.Pi / 4, 3}
	le := binary.LittleEndian
	var f32, f64, s24 []byte
	for _, v := range values {
		f32 = le.AppendUint32(f32, math.Float32bits(float32(v)))
		f64 = le.AppendUint64(f64, math.Float64bits(v))
		s24 = append(s24, 0, 0, 0x40) // a half
	}
	for name, text := range map[string]string{
		"short": file("fmt ", format(3, 2, 48000, 64), "data", string(f64)),
		"long":  file("junk", "odd", "fmt ", extensible(3, 2, 48000, 64), "LIST", "INFO", "data", string(f64), "id3 ", "x"),
	} {
		assert.Equal(t, values, all(t, open(t, text), 3), name)
	}
	for i, v := range all(t, open(t, file("fmt ", extensible(3, 1, 96000, 32), "fact", "1234", "data", string(f32))), 4096) {
		assert.Equal(t, float64(float32(values[i])), v)
	}
	for _, v := range all(t, open(t, file("fmt ", extensible(1, 1, 96000, 24), "data", string(s24))), 4096) {
		assert.Equal(t, 0.5, v)
	}
}

// What is broken or foreign is refused in words that say what it is.
func TestRefusals(t *testing.T) {
	good := file("fmt ", format(1, 2, 44100, 16), "data", "12345678")
	nan := string(binary.LittleEndian.AppendUint32(nil, 0x7fc00000))
	for text, want := range map[string]string{
		"":                                    "it has 0 bytes",
		"4 -4 5 -5 6 -6\n":                    "it is no WAV file",
		"fLaC\x00\x00\x00\x22 more":           "it is FLAC",
		"ID3\x04 and so on":                   "it is MP3",
		"\xff\xfa\x90\x64 and so on":          "it is MP3", // a frame with a checksum. ref: ISO/IEC 11172-3, 2.4.1.3
		"\xff\xf1\x50\x80 and so on":          "it is AAC", // ref: ISO/IEC 14496-3, 1.A.2.2, ADTS
		"FORM1234AIFF":                        "it is AIFF",
		"RF64\xff\xff\xff\xffWAVEds64":        "WAV file of over 4 GiB",
		"RIFX1234WAVE":                        "wrong byte order",
		"\x00\x00\x00\x20ftypM4A ":            "it is MP4 or M4A",
		"RIFF1234AVI ":                        "it is no WAV file",
		"RIFF\x04\x00\x00\x00WAVE":            "no chunk of sound",
		file("data", "1234"):                  "which format",
		file("fmt ", "short", "data", "1234"): "its format has 5 bytes",
		file("fmt ", format(1, 2, 44100, 16), "data", ""):                             "a header and nothing else",
		file("fmt ", format(1, 2, 44100, 16)):                                         "no chunk of sound",
		file("fmt ", format(1, 2, 44100, 16), "data", "12345"):                        "no whole number of frames",
		file("fmt ", format(2, 2, 44100, 4), "data", "1234"):                          "packed as ADPCM",
		file("fmt ", format(0x55, 2, 44100, 0), "data", "1234"):                       "packed as MP3",
		file("fmt ", format(77, 2, 44100, 16), "data", "1234"):                        "number 77",
		file("fmt ", format(1, 6, 44100, 16), "data", "123456789012"):                 "6 channels: mix it down",
		file("fmt ", format(1, 0, 44100, 16), "data", "1234"):                         "0 channels",
		file("fmt ", format(1, 1, 44100, 12), "data", "1234"):                         "12 bits",
		file("fmt ", format(3, 1, 44100, 16), "data", "1234"):                         "16 bits",
		file("fmt ", format(1, 1, 0, 16), "data", "1234"):                             "0 frames a second",
		file("fmt ", format(1, 1, 3e9, 16), "data", "1234"):                           "3000000000 frames a second",
		file("fmt ", extensible(2, 2, 44100, 16), "data", "1234"):                     "packed as ADPCM",
		file("fmt ", format(0xfffe, 2, 44100, 16), "data", "1234"):                    "somebody's own",
		file("fmt ", format(1, 2, 44100, 16)[:12]+"\x03\x00\x10\x00", "data", "1234"): "frames of 3 bytes",
		good[:len(good)-1]:                         "names 8 bytes of sound and has 7",
		good[:40] + "\xff\xff\xff\xff" + good[44:]: "written into a pipe",
	} {
		_, err := Open(bytes.NewReader([]byte(text)), int64(len(text)))
		var refused *Refusal
		require.ErrorAs(t, err, &refused, "%q", text)
		assert.Contains(t, refused.Reason, want, "%q", text)
	}
	r := open(t, file("fmt ", format(3, 1, 1000, 32), "data", "\x00\x00\x00\x00"+nan))
	_, err := r.Read().Read(make([]float64, 8))
	assert.ErrorContains(t, err, "at 0.001 s it holds NaN")
}

// A file that is cut anywhere is refused, never taken for a short one.
func TestCutAnywhere(t *testing.T) {
	whole := file("junk", "a", "fmt ", extensible(1, 1, 44100, 24), "LIST", "INFOabcd", "data", "123456789")
	open(t, whole)
	for n := range len(whole) - 1 { // the last byte only makes the length even
		_, err := Open(bytes.NewReader([]byte(whole[:n])), int64(n))
		var refused *Refusal
		assert.ErrorAs(t, err, &refused, "%d bytes of %d", n, len(whole))
	}
}

// A file that shrinks while it is read does not look like a whole one.
func TestShrinks(t *testing.T) {
	whole := file("fmt ", format(1, 1, 8000, 16), "data", "1234567890")
	r, err := Open(bytes.NewReader([]byte(whole[:48])), int64(len(whole)))
	require.NoError(t, err)
	_, err = r.Read().Read(make([]float64, 100))
	assert.ErrorContains(t, err, "became shorter")
}

func FuzzOpen(f *testing.F) {
	f.Add([]byte(file("fmt ", format(1, 2, 44100, 16), "data", "12345678")))
	f.Add([]byte(file("LIST", "INFO", "fmt ", extensible(3, 1, 96000, 32), "data", "12345678")))
	f.Add([]byte(file("fmt ", format(3, 1, 8000, 64), "data", "12345678")))
	f.Add([]byte("RIFF\xff\xff\xff\xffWAVELIST\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := Open(bytes.NewReader(text), int64(len(text)))
		if err != nil {
			var refused *Refusal
			require.ErrorAs(t, err, &refused)
			return
		}
		require.LessOrEqual(t, r.Frames*int64(r.Channels*r.Depth/8), int64(len(text)))
		x := make([]float64, 64*r.Channels)
		read := int64(0)
		for reader := r.Read(); ; {
			n, err := reader.Read(x)
			read += int64(n)
			if err != nil {
				require.True(t, r.Float || read == r.Frames)
				return
			}
			for _, v := range x[:n*r.Channels] {
				require.LessOrEqual(t, math.Abs(v), loudest)
			}
		}
	})
}
