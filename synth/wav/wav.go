// Package wav writes uncompressed sound as a WAV file: a 44-byte header, then
// the samples.
//
// The header names the exact size of everything that follows, so it can be
// written first and the samples streamed after it, to a file, a pipe or a web
// client alike; nothing is patched afterwards. The layout is
//
//	"RIFF" size "WAVE"
//	"fmt " 16   format channels rate bytes-a-second bytes-a-frame bits
//	"data" size samples…
//
// with every number little-endian and the channels of a frame side by side.
//
// ref: IBM and Microsoft, Multimedia Programming Interface and Data
// Specifications 1.0, August 1991, "Waveform Audio File Format (WAVE)";
// the format tag WAVE_FORMAT_PCM also in RFC 2361, appendix A.
package wav

import (
	"encoding/binary"
	"fmt"
	"math"
)

// HeaderSize is the length of a header in bytes.
const HeaderSize = 44

const (
	formatPCM   = 1                           // ref: RFC 2361, WAVE_FORMAT_PCM
	formatSize  = 16                          // bytes of the "fmt " chunk's body for PCM
	headerRest  = HeaderSize - 8              // what "RIFF" and its size do not count themselves
	maxDataSize = math.MaxUint32 - headerRest // the size after "RIFF" is a uint32
)

// Format is how samples are laid out in a file.
type Format struct {
	Rate     int // frames a second, over 0
	Depth    int // bits a sample: 16 or 24
	Channels int // samples a frame: 1 or 2
}

// FrameSize is the length of one frame in bytes.
func (f Format) FrameSize() int { return f.Channels * f.Depth / 8 }

// Header is what stands before frames frames of samples. It returns an error
// for a format outside the ranges above, for more than 4 GiB, and for samples
// of an odd number of bytes: RIFF would want a pad byte after those, so the
// caller adds a frame of silence instead.
func Header(f Format, frames int64) ([]byte, error) { return HeaderBefore(f, frames, 0) }

// HeaderBefore is the header of a file in which so many bytes of other chunks,
// an even number, stand after the samples.
func HeaderBefore(f Format, frames int64, after int) ([]byte, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	frame := int64(f.FrameSize())
	if frames < 0 || frames > (maxDataSize-int64(after))/frame {
		return nil, fmt.Errorf("wav: %d frames of %d bytes do not fit a file of 4 GiB", frames, frame)
	}
	data := frames * frame
	if data%2 != 0 {
		return nil, fmt.Errorf("wav: %d frames of %d bytes are an odd number of bytes; add a frame", frames, frame)
	}
	return f.header(uint32(data), uint32(after)), nil
}

func (f Format) check() error {
	switch {
	case f.Rate <= 0 || int64(f.Rate)*int64(f.FrameSize()) > math.MaxUint32:
		return fmt.Errorf("wav: a rate of %d frames a second cannot be written", f.Rate)
	case f.Depth != 16 && f.Depth != 24:
		return fmt.Errorf("wav: a depth of %d bits is neither 16 nor 24", f.Depth)
	case f.Channels != 1 && f.Channels != 2:
		return fmt.Errorf("wav: %d channels are neither 1 nor 2", f.Channels)
	}
	return nil
}

func (f Format) header(data, after uint32) []byte {
	le := binary.LittleEndian
	h := make([]byte, 0, HeaderSize)
	h = append(h, "RIFF"...)
	h = le.AppendUint32(h, headerRest+data+after)
	h = append(h, "WAVEfmt "...)
	h = le.AppendUint32(h, formatSize)
	h = le.AppendUint16(h, formatPCM)
	h = le.AppendUint16(h, uint16(f.Channels))
	h = le.AppendUint32(h, uint32(f.Rate))
	h = le.AppendUint32(h, uint32(f.Rate*f.FrameSize()))
	h = le.AppendUint16(h, uint16(f.FrameSize()))
	h = le.AppendUint16(h, uint16(f.Depth))
	h = append(h, "data"...)
	return le.AppendUint32(h, data)
}

// Append adds samples to dst as bytes and returns it, as the built-in append
// does. The samples are in playing order, the channels of a frame side by side,
// and lie within the depth's range: ±2^15 for 16 bits, ±2^23 for 24. What lies
// outside loses its upper bits; the caller clips. Any depth but 16 is written
// as 24.
func Append(dst []byte, samples []int32, depth int) []byte {
	if depth == 16 {
		return append16(dst, samples)
	}
	return append24(dst, samples)
}

func append16(dst []byte, samples []int32) []byte {
	dst, room := grow(dst, 2*len(samples))
	for len(samples) >= 4 && len(room) >= 8 { // the second is always so; the compiler wants it said
		s, b := samples[:4:4], room[:8:8]
		binary.LittleEndian.PutUint16(b[0:], uint16(s[0]))
		binary.LittleEndian.PutUint16(b[2:], uint16(s[1]))
		binary.LittleEndian.PutUint16(b[4:], uint16(s[2]))
		binary.LittleEndian.PutUint16(b[6:], uint16(s[3]))
		samples, room = samples[4:], room[8:]
	}
	for i, s := range samples {
		binary.LittleEndian.PutUint16(room[2*i:], uint16(s))
	}
	return dst
}

func append24(dst []byte, samples []int32) []byte {
	dst, room := grow(dst, 3*len(samples))
	for i, s := range samples {
		b := room[3*i : 3*i+3 : 3*i+3]
		b[0], b[1], b[2] = byte(s), byte(s>>8), byte(s>>16)
	}
	return dst
}

// grow lengthens dst by n bytes and returns it with the new part of it.
func grow(dst []byte, n int) (all, room []byte) {
	old := len(dst)
	if cap(dst)-old < n {
		dst = append(make([]byte, 0, 2*cap(dst)+n), dst...)
	}
	return dst[:old+n], dst[old : old+n]
}
