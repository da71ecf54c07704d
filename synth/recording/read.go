package recording

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
)

// Reader reads a recording from its first frame on.
type Reader struct {
	rec     *Recording
	decoder *wav.Decoder
	block   audio.IntBuffer
	words   int   // numbers of the decoder that make one sample
	left    int64 // frames
	at      int64 // frames read
}

// Read begins at the first frame. A recording may be read by several at once.
func (r *Recording) Read() *Reader {
	words, bits := 1, r.Depth
	if bits == 64 {
		words, bits = 2, 32
	}
	size := r.Frames * int64(r.Channels*r.Depth/8)
	plain := io.MultiReader(bytes.NewReader(r.plainHeader(words, bits, size)), io.NewSectionReader(r.file, r.data, size))
	return &Reader{rec: r, decoder: wav.NewDecoder(forward{plain}), words: words, left: r.Frames}
}

// plainHeader is that of a file with nothing but such samples.
func (r *Recording) plainHeader(words, bits int, size int64) []byte {
	frame := words * r.Channels * bits / 8
	le := binary.LittleEndian
	h := le.AppendUint32([]byte("RIFF"), uint32(36+size))
	h = le.AppendUint32(append(h, "WAVEfmt "...), 16)
	h = le.AppendUint16(h, kindPCM)
	h = le.AppendUint16(h, uint16(words*r.Channels))
	h = le.AppendUint32(h, uint32(r.Rate))
	h = le.AppendUint32(h, uint32(r.Rate*frame))
	h = le.AppendUint16(h, uint16(frame))
	h = le.AppendUint16(h, uint16(bits))
	return le.AppendUint32(append(h, "data"...), uint32(size))
}

// forward is a file that is only read on; the decoder goes back in none that
// is plain.
type forward struct{ io.Reader }

// Seek fails.
func (forward) Seek(int64, int) (int64, error) { return 0, fmt.Errorf("recording: no way back") }

// Read fills x with frames, the channels of each side by side, and says how
// many. There are fewer than fit only at the end, and none after it, with
// io.EOF. A *Refusal says that what is there is no sound.
func (r *Reader) Read(x []float64) (frames int, err error) {
	channels := r.rec.Channels
	n := int(min(int64(len(x)/channels), r.left))
	if n == 0 {
		return 0, io.EOF
	}
	if want := n * channels * r.words; len(r.block.Data) != want {
		r.block.Data = make([]int, want)
	}
	got, err := r.decoder.PCMBuffer(&r.block)
	if err != nil {
		return 0, err
	}
	if got != len(r.block.Data) {
		return 0, refuse("it became shorter while it was read")
	}
	if err := r.convert(x[:n*channels]); err != nil {
		return 0, err
	}
	r.left -= int64(n)
	r.at += int64(n)
	return n, nil
}

// convert turns the decoder's numbers into samples.
func (r *Reader) convert(x []float64) error {
	switch {
	case r.rec.Float:
		return r.convertFloat(x)
	case r.rec.Depth == 8: // ref: 8 bits are unsigned, and more are not
		for i := range x {
			x[i] = float64(r.block.Data[i]-128) / 128
		}
	default:
		scale := 1 / float64(int64(1)<<(r.rec.Depth-1))
		for i := range x {
			x[i] = float64(r.block.Data[i]) * scale
		}
	}
	return nil
}

// loudest is the highest sample that is believed, 60 dB over full scale: whole
// numbers that were stored as floating point lie above.
const loudest = 1000.0

func (r *Reader) convertFloat(x []float64) error {
	for i := range x {
		if r.words == 2 {
			low, high := uint64(uint32(r.block.Data[2*i])), uint64(uint32(r.block.Data[2*i+1]))
			x[i] = math.Float64frombits(low | high<<32)
		} else {
			x[i] = float64(math.Float32frombits(uint32(r.block.Data[i])))
		}
		if !(math.Abs(x[i]) <= loudest) {
			at := float64(r.at+int64(i/r.rec.Channels)) / float64(r.rec.Rate)
			return refuse("at %.3f s it holds %g, which is no sample of a sound", at, x[i])
		}
	}
	return nil
}
