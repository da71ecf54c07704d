package synth

import "reedlark/synth/dsp"

// full is the highest sample of the depth.
func (s *Sound) full() int32 { return 1<<(s.set.Depth-1) - 1 }

// quantize multiplies one channel by the gain and writes it, in whole numbers
// of the file's depth, among the others. The channel's number seeds its dither.
func (s *Sound) quantize(out []int32, in []float32, at int64, channel int) {
	s.gain.Curve(in, at)
	scale := float64(s.gain.Base * float64(s.full()))
	if s.set.Depth == 16 {
		s.dither(out[channel:], in, at, channel, scale)
		return
	}
	s.plain(out[channel:], in, scale)
}

// half lifts a sample above zero so that cutting its fraction off rounds it.
const half = 1<<24 + 0.5

func (s *Sound) dither(out []int32, in []float32, at int64, channel int, scale float64) {
	full, step, k := s.full(), s.set.Channels, 0
	for i, x := range in {
		noise := dsp.Triangle(dsp.Hash(uint64(at)+uint64(i), uint64(channel)))
		v := int32(float64(float64(x)*scale)+noise+half) - 1<<24
		out[k] = clamp(v, full)
		k += step
	}
}

func (s *Sound) plain(out []int32, in []float32, scale float64) {
	full, step, k := s.full(), s.set.Channels, 0
	for _, x := range in {
		v := int32(float64(float64(x)*scale)+half) - 1<<24
		out[k] = clamp(v, full)
		k += step
	}
}

// clamp is a net under the peak rule. It never acts.
func clamp(v, full int32) int32 { return min(max(v, -full-1), full) }
