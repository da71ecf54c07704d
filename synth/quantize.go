package synth

import (
	"reedlark/synth/dsp"
	"reedlark/synth/reed"
)

// scale is the gain, in numbers of the file, at a frame, and its rise per
// frame up to the end of its cell.
func (s *Sound) scale(at int64) (gain, rise float64) {
	full := float64(s.full())
	cell := at &^ (reed.Cell - 1)
	a, b := s.gain.At(cell)*full, s.gain.At(cell+reed.Cell)*full
	rise = (b - a) / reed.Cell
	return a + float64(rise*float64(at-cell)), rise
}

// full is the highest sample of the depth.
func (s *Sound) full() int32 { return 1<<(s.set.Depth-1) - 1 }

// quantize writes one channel of interleaved samples. The channel's number
// seeds its dither.
func (s *Sound) quantize(out []int32, in []float32, at int64, channel int) {
	for len(in) > 0 {
		n := min(len(in), int(reed.Cell-at%reed.Cell))
		gain, rise := s.scale(at)
		if s.set.Depth == 16 {
			s.dither(out, in[:n], at, channel, gain, rise)
		} else {
			s.plain(out, in[:n], channel, gain, rise)
		}
		out, in, at = out[n*s.set.Channels:], in[n:], at+int64(n)
	}
}

// half lifts a sample above zero so that cutting its fraction off rounds it.
const half = 1<<24 + 0.5

func (s *Sound) dither(out []int32, in []float32, at int64, channel int, gain, rise float64) {
	full, step, k := s.full(), s.set.Channels, channel
	for i, x := range in {
		noise := dsp.Triangle(dsp.Hash(uint64(at)+uint64(i), uint64(channel)))
		v := int32(float64(float64(x)*gain)+noise+half) - 1<<24
		out[k] = clamp(v, full)
		gain += rise
		k += step
	}
}

func (s *Sound) plain(out []int32, in []float32, channel int, gain, rise float64) {
	full, step, k := s.full(), s.set.Channels, channel
	for _, x := range in {
		v := int32(float64(float64(x)*gain)+half) - 1<<24
		out[k] = clamp(v, full)
		gain += rise
		k += step
	}
}

// clamp is a net under the peak rule. It never acts.
func clamp(v, full int32) int32 { return min(max(v, -full-1), full) }
