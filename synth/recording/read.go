package recording

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
)

// Reader reads a recording from its first frame on.
type Reader struct {
	rec   *Recording
	data  io.Reader
	bytes []byte // of the frames being read
	left  int64  // frames
	at    int64  // frames read
}

// Read begins at the first frame. A recording may be read by several at once.
func (r *Recording) Read() *Reader {
	size := r.Frames * int64(r.Channels*r.Depth/8)
	return &Reader{rec: r, data: io.NewSectionReader(r.file, r.data, size), left: r.Frames}
}

// Read fills x with frames, channels interleaved, and returns how many. There
// are fewer than fit only at the end, and none after it, with io.EOF. A
// *Refusal says that what is there is no sound.
func (r *Reader) Read(x []float64) (frames int, err error) {
	channels := r.rec.Channels
	n := int(min(int64(len(x)/channels), r.left))
	if n == 0 {
		return 0, io.EOF
	}
	x = x[:n*channels]
	if want := len(x) * r.rec.Depth / 8; len(r.bytes) != want {
		r.bytes = make([]byte, want)
	}
	if _, err := io.ReadFull(r.data, r.bytes); err != nil {
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return 0, refuse("it became shorter while it was read")
		}
		return 0, err
	}
	r.decode(x)
	if err := r.check(x); err != nil {
		return 0, err
	}
	r.left -= int64(n)
	r.at += int64(n)
	return n, nil
}

// decode turns bytes into samples. ref: 8 bits are unsigned, all others signed,
// little-endian (IBM and Microsoft, 1991).
func (r *Reader) decode(x []float64) {
	le, b := binary.LittleEndian, r.bytes
	for i := range x {
		switch {
		case r.rec.Depth == 8:
			x[i] = float64(int(b[i])-128) / 128
		case r.rec.Depth == 16:
			x[i] = float64(int16(le.Uint16(b[2*i:]))) / (1 << 15)
		case r.rec.Depth == 24:
			x[i] = float64(int32(uint32(b[3*i])<<8|uint32(b[3*i+1])<<16|uint32(b[3*i+2])<<24)>>8) / (1 << 23)
		case r.rec.Depth == 64:
			x[i] = math.Float64frombits(le.Uint64(b[8*i:]))
		case r.rec.Float:
			x[i] = float64(math.Float32frombits(le.Uint32(b[4*i:])))
		default:
			x[i] = float64(int32(le.Uint32(b[4*i:]))) / (1 << 31)
		}
	}
}

// loudest is the highest sample that is believed, 60 dB over full scale: whole
// numbers that were stored as floating point lie above.
const loudest = 1000.0

func (r *Reader) check(x []float64) error {
	for i, v := range x {
		if !(math.Abs(v) <= loudest) {
			at := float64(r.at+int64(i/r.rec.Channels)) / float64(r.rec.Rate)
			return refuse("at %.3f s it holds %g, which is no sample of a sound", at, v)
		}
	}
	return nil
}
