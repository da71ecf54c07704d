package over

import (
	"context"
	"errors"
	"io"

	"reedlark/synth/resample"
)

// blockFrames is how many frames are in work at a time.
const blockFrames = 8192

// play makes the mix, before its gain, and hands it on block by block.
func (m *Mix) play(ctx context.Context, emit func(x []float64) error) error {
	t := &take{Mix: m, emit: emit, ctx: ctx, band: m.band(), x: make([]float64, blockFrames*m.set.Channels)}
	if err := t.alone(m.start); err != nil {
		return err
	}
	if err := m.sound.Samples(ctx, 0, m.sound.Frames(), t.both); err != nil {
		return err
	}
	return t.alone(m.frames - t.at)
}

// band is the recording from its start, at the rate and in the channels of the
// mix.
func (m *Mix) band() resample.Source {
	own := channels{src: m.rec.Read(), have: m.rec.Channels, want: m.set.Channels}
	return resample.New(own, m.set.Channels, m.rec.Rate, m.set.Rate)
}

// take is one way through the mix.
type take struct {
	*Mix
	ctx  context.Context
	band resample.Source
	over bool // the recording has ended
	at   int64
	x    []float64
	emit func(x []float64) error
}

// alone plays so many frames of the recording.
func (t *take) alone(frames int64) error {
	for frames > 0 {
		n := min(frames, blockFrames)
		if err := t.block(t.x[:n*int64(t.set.Channels)], nil); err != nil {
			return err
		}
		frames -= n
	}
	return nil
}

// both plays the recording under a stretch of the sound.
func (t *take) both(sound []int32) error {
	for len(sound) > 0 {
		n := min(len(sound), len(t.x))
		if err := t.block(t.x[:n], sound[:n]); err != nil {
			return err
		}
		sound = sound[n:]
	}
	return nil
}

// fullScale is what a sample of 24 bits is divided by.
const fullScale = 1 << 23

// block fills x with the recording, lowers it, adds the sound to it and hands
// it on.
func (t *take) block(x []float64, sound []int32) error {
	if err := t.ctx.Err(); err != nil {
		return err
	}
	if err := t.read(x); err != nil {
		return err
	}
	t.duck.lower(x, t.at, t.set.Channels)
	scale := t.voice / fullScale
	for i, v := range sound {
		x[i] += float64(float64(v) * scale)
	}
	t.at += int64(len(x) / t.set.Channels)
	return t.emit(x)
}

// read fills x with the recording, and with silence after its end.
func (t *take) read(x []float64) error {
	for len(x) > 0 && !t.over {
		n, err := t.band.Read(x)
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		t.over = errors.Is(err, io.EOF)
		x = x[n*t.set.Channels:]
	}
	clear(x)
	return nil
}

// channels is a source in another number of channels: one is played on both
// sides, two are added at half their level.
type channels struct {
	src        resample.Source
	have, want int
}

// Read is that of a source.
func (c channels) Read(x []float64) (int, error) {
	if c.have == c.want {
		return c.src.Read(x)
	}
	other := make([]float64, len(x)/c.want*c.have)
	n, err := c.src.Read(other)
	for i := range n {
		if c.want == 1 {
			x[i] = (other[2*i] + other[2*i+1]) / 2
		} else {
			x[2*i], x[2*i+1] = other[i], other[i]
		}
	}
	return n, err
}
