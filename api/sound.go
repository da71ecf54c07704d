package api

import (
	"context"
	"fmt"
	"io"
	"slices"

	"reedlark/synth"
	"reedlark/synth/wav"
	"reedlark/tab/score"
)

// Sound is a file of sound of which every byte is known by its place. Unless it is
// sequential, it is safe for use by many at once.
type Sound struct {
	file
	sound  *synth.Sound
	player *synth.Player // of a sequential one
	buffer []byte        // of a sequential one, for samples on their way
}

// Sequential is the same sound for one caller who asks for its ranges in order:
// each goes on where the one before ended, at a multiple of 64 frames, and costs
// what it costs within the whole file. Any other range begins anew.
func (s *Sound) Sequential() *Sound {
	return &Sound{file: s.file, sound: s.sound, player: s.sound.Player()}
}

// renderer renders ranges of frames.
func (s *Sound) renderer() func(ctx context.Context, from, to int64, emit func([]int32) error) error {
	if s.player != nil {
		return s.player.Samples
	}
	return s.sound.Samples
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

// WAVLayout is what is known of a WAV file before how loud it is.
type WAVLayout struct {
	Head       []byte // up to the first sample
	Frames     int64
	FrameBytes int
	Size       int64 // of the whole file, bytes
}

// WAV is the layout of the piece's WAV file. It costs nothing to know.
func (p *Piece) WAV() (WAVLayout, error) {
	f, err := p.file()
	return WAVLayout{f.header, f.frames, f.format.FrameSize(), f.Size()}, err
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

// Players lists those who play along, whose stems together are the backing's.
func (s *Sound) Players() (names []string) {
	for _, who := range s.sound.Players() {
		names = append(names, string(who))
	}
	return names
}

// Stem is a part of the sound as a file of its own, at the level it has in the
// whole: added sample by sample, the stems are the sound, but for rounding. Of
// a split mix each is one of its channels.
func (s *Sound) Stem(name string) (*Sound, error) {
	all := append(Stems(), s.Players()...)
	if !slices.Contains(all, name) {
		return nil, &CallError{Kind: NotFound, Detail: "there is no stem " + shown(name), Allowed: list(all)}
	}
	stem := s.sound.Part(score.Player(name))
	if slices.Contains(Stems(), name) {
		stem = s.sound.Stem(synth.Stem(name == StemMelody))
	}
	format := s.format
	format.Channels = stem.Channels()
	f, err := newFile(format, stem.Frames(), s.after)
	return &Sound{file: f, sound: stem}, err
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
	if from, to := out.frames(s.file); from < to {
		block := s.buffer
		err := s.renderer()(ctx, from, to, func(samples []int32) error {
			block = wav.Append(block[:0], samples, s.format.Depth)
			return out.write(block)
		})
		if s.player != nil {
			s.buffer = block
		}
		if err != nil {
			return err
		}
	}
	if err := out.write(s.after); err != nil {
		return err
	}
	if out.left > 0 {
		return fmt.Errorf("the sound ended %d bytes early", out.left)
	}
	return nil
}

// window lets through the bytes of a stream after the first few, up to a
// number of them.
type window struct {
	w    io.Writer
	skip int64 // bytes still to pass over
	left int64 // bytes still to let through
}

// frames are those of a file that reach into the window; it passes over those
// before them.
func (o *window) frames(f file) (from, to int64) {
	size := int64(f.format.FrameSize())
	from = min(o.skip/size, f.frames)
	to = min((o.skip+o.left+size-1)/size, f.frames)
	o.skip -= from * size
	if o.left == 0 {
		return from, from
	}
	return from, to
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
