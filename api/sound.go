package api

import (
	"context"
	"fmt"
	"io"
	"slices"

	"reedlark/synth"
	"reedlark/synth/wav"
)

// Sound is a file of sound of which every byte is known by its place.
type Sound struct {
	file
	sound *synth.Sound
}

// file is all of a WAV file but its samples.
type file struct {
	format wav.Format
	frames int64
	header []byte
	after  []byte // chunks that follow the samples
}

func newFile(f wav.Format, frames int64, after []byte) (file, error) {
	header, err := wav.HeaderBefore(f, frames, len(after))
	return file{f, frames, header, after}, err
}

// file is that of the piece, known before it is known how loud it is.
func (p *Piece) file() (file, error) {
	format := wav.Format{Rate: p.req.Rate, Depth: p.req.Depth, Channels: p.req.channels()}
	return newFile(format, synth.Frames(p.score.Seconds, p.sounding()), wav.Cues(p.cues(0)))
}

// Head is what the WAV file of the piece begins with, up to its first sample, and
// how many frames and bytes the file has. It costs nothing to know; how loud the
// piece is need not be known for it.
func (p *Piece) Head() (head []byte, frames, size int64, err error) {
	f, err := p.file()
	return f.header, f.frames, f.Size(), err
}

// Frames is the length of the sound in frames.
func (f file) Frames() int64 { return f.frames }

// Size is the length of the file in bytes.
func (f file) Size() int64 {
	return int64(len(f.header)) + f.frames*int64(f.format.FrameSize()) + int64(len(f.after))
}

// The stems of a sound: what the harp plays, and all else, clicks included.
const (
	StemMelody  = mixMelody
	StemBacking = mixBacking
)

// Stems lists the names of the stems.
func Stems() []string { return []string{StemMelody, StemBacking} }

// Stem is a part of the sound as a file of its own, at the level it has in the
// whole: added sample by sample, the stems are the sound, but for rounding. Of
// a split mix each is one of its channels.
func (s *Sound) Stem(name string) (*Sound, error) {
	if !slices.Contains(Stems(), name) {
		return nil, &CallError{Kind: NotFound, Detail: "there is no stem " + shown(name), Allowed: list(Stems())}
	}
	stem := s.sound.Stem(synth.Stem(name == StemMelody))
	format := s.format
	format.Channels = stem.Channels()
	f, err := newFile(format, stem.Frames(), s.after)
	return &Sound{f, stem}, err
}

// WriteTo writes the whole file.
func (s *Sound) WriteTo(ctx context.Context, w io.Writer) error {
	return s.WriteRange(ctx, w, 0, s.Size())
}

// WriteRange writes n bytes of the file from an offset on and renders no more
// frames than they need. It fails when ctx ends, when w does, or where the
// range does not lie in the file; nothing it wrote is whole then.
func (s *Sound) WriteRange(ctx context.Context, w io.Writer, offset, n int64) error {
	if offset < 0 || n < 0 || offset+n > s.Size() {
		return fmt.Errorf("bytes %d to %d of a file of %d", offset, offset+n, s.Size())
	}
	out := &window{w: w, skip: offset, left: n}
	if err := out.write(s.header); err != nil {
		return err
	}
	if err := s.frames(ctx, out); err != nil {
		return err
	}
	if err := out.write(s.after); err != nil {
		return err
	}
	if out.left > 0 {
		return fmt.Errorf("the sound ended %d bytes early", out.left)
	}
	return nil
}

// frames writes the frames that reach into the window.
func (s *Sound) frames(ctx context.Context, out *window) error {
	size := int64(s.format.FrameSize())
	from := min(out.skip/size, s.Frames())
	to := min((out.skip+out.left+size-1)/size, s.Frames())
	out.skip -= from * size
	if from == to || out.left == 0 {
		return nil
	}
	var block []byte
	return s.sound.Samples(ctx, from, to, func(samples []int32) error {
		block = wav.Append(block[:0], samples, s.format.Depth)
		return out.write(block)
	})
}

// window lets through the bytes of a stream after the first few, up to a
// number of them.
type window struct {
	w    io.Writer
	skip int64 // bytes still to pass over
	left int64 // bytes still to let through
}

func (o *window) write(b []byte) error {
	pass := min(o.skip, int64(len(b)))
	o.skip -= pass
	b = b[pass:]
	b = b[:min(o.left, int64(len(b)))]
	o.left -= int64(len(b))
	if len(b) == 0 {
		return nil
	}
	_, err := o.w.Write(b)
	return err
}
