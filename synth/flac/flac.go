// Package flac writes sound as a FLAC file: the samples of the WAV file, bit
// for bit, in about three quarters of the room.
//
// Sound is cut into blocks of 4,096 frames. In each, a sample is guessed from
// the ones before it by one of five fixed polynomials, and only the error of
// the guess is written, in a code that is short for small numbers (Rice's). A
// stereo block is written as left and right or as their middle and difference,
// whichever moves less. What the best guess is, is settled in predict.go; the
// library writes it down.
//
// The file's head, STREAMINFO, has the exact number of frames and the checksum
// of all samples, so that players show the length and a listener can be sure.
// Both stand before the first block and the checksum is known after the last: a
// file is made whole, in memory, or coded twice, stretch by stretch: first to learn
// the sizes and the checksum, and again as it is asked for.
//
// There is no lossy format beside it: of the encoders written in Go alone none is
// complete and gives the same bytes on every machine, and nothing here is
// written in C.
//
// ref: RFC 9639, Free Lossless Audio Codec (FLAC), 2024.
package flac

import (
	"bytes"
	"crypto/md5"
	"fmt"
	"hash"
	"io"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"reedlark/synth/wav"
)

// blockSize is the length of a block in frames. ref: RFC 9639, section 9.1.1;
// what its reference encoder takes at this rate, from memory.
const blockSize = 4096

// Encode makes the file. The format has the ranges of a WAV file's. samples
// hands over all samples in playing order, the channels of a frame side by
// side, in pieces of any length, each within the depth's range. Encode fails
// where samples does and where the format is none.
func Encode(f wav.Format, samples func(take func([]int32) error) error) ([]byte, error) {
	e, err := newEncoder(f)
	if err != nil {
		return nil, err
	}
	if err := samples(e.take); err != nil {
		return nil, err
	}
	if err := e.block(); err != nil {
		return nil, err
	}
	return e.finish()
}

// encoder is a file in the making.
type encoder struct {
	format  wav.Format
	out     bytes.Buffer
	lib     *flac.Encoder
	info    meta.StreamInfo
	sum     hash.Hash
	raw     io.Writer // of the samples, for the checksum
	first   int       // number of the first block
	pending []int32   // samples of a block that is not full yet
	bytes   []byte
}

func newEncoder(f wav.Format) (*encoder, error) {
	if _, err := wav.Header(f, 0); err != nil {
		return nil, err
	}
	e := &encoder{format: f, sum: md5.New()}
	e.raw = e.sum
	e.info = meta.StreamInfo{
		BlockSizeMin: blockSize, BlockSizeMax: blockSize,
		SampleRate: uint32(f.Rate), NChannels: uint8(f.Channels), BitsPerSample: uint8(f.Depth),
	}
	lib, err := flac.NewEncoder(&e.out, &e.info)
	if err != nil {
		return nil, fmt.Errorf("flac: %w", err)
	}
	lib.EnablePredictionAnalysis(false) // ours takes an eighth of the time
	e.lib = lib
	return e, nil
}

// take collects samples and writes whole blocks.
func (e *encoder) take(samples []int32) error {
	full := blockSize * e.format.Channels
	for len(samples) > 0 {
		n := min(full-len(e.pending), len(samples))
		e.pending = append(e.pending, samples[:n]...)
		samples = samples[n:]
		if len(e.pending) < full {
			continue
		}
		if err := e.block(); err != nil {
			return err
		}
	}
	return nil
}

// block writes the samples that are pending.
func (e *encoder) block() error {
	if len(e.pending) == 0 {
		return nil
	}
	e.bytes = wav.Append(e.bytes[:0], e.pending, e.format.Depth)
	if _, err := e.raw.Write(e.bytes); err != nil {
		return err
	}
	n := len(e.pending) / e.format.Channels
	before := e.out.Len()
	number := int(e.info.NSamples) / blockSize
	if err := e.lib.WriteFrame(e.frame(n)); err != nil {
		return fmt.Errorf("flac: %w", err)
	}
	if e.first > 0 {
		b := renumbered(e.out.Bytes()[before:], e.first+number)
		e.out.Truncate(before)
		e.out.Write(b)
	}
	size := uint32(e.out.Len() - before)
	if e.info.FrameSizeMin == 0 || size < e.info.FrameSizeMin {
		e.info.FrameSizeMin = size
	}
	e.info.FrameSizeMax = max(e.info.FrameSizeMax, size)
	e.info.NSamples += uint64(n)
	e.pending = e.pending[:0]
	return nil
}

// frame is a block of n frames with the best guess for each channel.
func (e *encoder) frame(n int) *frame.Frame {
	f := &frame.Frame{Header: frame.Header{
		HasFixedBlockSize: true, BlockSize: uint16(n), SampleRate: uint32(e.format.Rate),
		Channels: frame.ChannelsMono, BitsPerSample: uint8(e.format.Depth),
	}}
	channels := deinterleave(e.pending, e.format.Channels)
	coded, bits := channels, []int{e.format.Depth, e.format.Depth}
	if len(channels) == 2 {
		f.Channels = frame.ChannelsLR
		mid, side := middle(channels[0], channels[1])
		if totalVariation(mid)+totalVariation(side) < totalVariation(channels[0])+totalVariation(channels[1]) {
			f.Channels, coded, bits[1] = frame.ChannelsMidSide, [][]int32{mid, side}, e.format.Depth+1
		}
	}
	for i, c := range channels {
		f.Subframes = append(f.Subframes, &frame.Subframe{SubHeader: predict(coded[i], bits[i]), Samples: c, NSamples: n})
	}
	return f
}

// finish writes the head again, now that all is known.
func (e *encoder) finish() ([]byte, error) {
	copy(e.info.MD5sum[:], e.sum.Sum(nil))
	var head bytes.Buffer
	if _, err := flac.NewEncoder(&head, &e.info); err != nil {
		return nil, fmt.Errorf("flac: %w", err)
	}
	file := e.out.Bytes()
	copy(file, head.Bytes())
	return file, nil
}
