package over

import (
	"context"
	"io"
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/wav"
)

func (m *Mix) format() wav.Format {
	return wav.Format{Rate: m.set.Rate, Depth: m.set.Depth, Channels: m.set.Channels}
}

// Header is what the file begins with. It fails where the mix would not fit
// into a WAV file of 4 GiB.
func (m *Mix) Header() ([]byte, error) {
	return wav.HeaderBefore(m.format(), m.frames, len(m.set.After))
}

// Size is the length of the file in bytes.
func (m *Mix) Size() int64 { return wav.HeaderSize + m.frames*m.frameBytes() + int64(len(m.set.After)) }

// WriteTo writes the whole file. It fails when ctx ends, when w does, or when
// the recording can no longer be read; nothing it wrote is whole then.
func (m *Mix) WriteTo(ctx context.Context, w io.Writer) error {
	header, err := m.Header()
	if err != nil {
		return err
	}
	if _, err := w.Write(header); err != nil {
		return err
	}
	var samples []int32
	var block []byte
	at := int64(0)
	err = m.play(ctx, func(x []float64) error {
		samples = m.quantize(samples[:0], x, at)
		at += int64(len(x) / m.set.Channels)
		block = wav.Append(block[:0], samples, m.set.Depth)
		_, err := w.Write(block)
		return err
	})
	if err != nil {
		return err
	}
	_, err = w.Write(m.set.After)
	return err
}

// quantize makes whole numbers of a block. At 16 bits a sample that is none
// already gets dither of triangular density, one bit either way; one that is,
// such as any of a recording of 16 bits that nothing is added to, stays.
// ref: Lipshitz, Wannamaker & Vanderkooy, "Quantization and dither", JAES
// 40(5), 1992.
func (m *Mix) quantize(out []int32, x []float64, at int64) []int32 {
	full := float64(int64(1) << (m.set.Depth - 1))
	for i, v := range x {
		v = float64(v * float64(m.gain*full))
		if m.set.Depth == 16 && v != math.Trunc(v) {
			v += dither(at+int64(i/m.set.Channels), i%m.set.Channels)
		}
		out = append(out, int32(min(max(math.Round(v), -full), full-1)))
	}
	return out
}

// dither lies between -1 and 1, near 0 most often.
func dither(frame int64, channel int) float64 {
	const unit = 1 << 16
	bits := dsp.Hash(uint64(frame), uint64(channel))
	return float64(float64(int64(bits%unit)-int64(bits>>16%unit)) / unit)
}
