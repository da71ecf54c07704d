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

// unit is the last bit of a sample before it is rounded: there are so many
// steps of dither to it.
const unit = 1 << 16

// dither adds noise of triangular density, one bit either way, and rounds. One
// hash serves two frames.
// ref: Lipshitz, Wannamaker & Vanderkooy, "Quantization and dither", JAES
// 40(5), 1992.
func (s *Sound) dither(out []int32, in []float32, at int64, channel int, scale float64) {
	full, step, k := s.full(), s.set.Channels, 0
	scale *= unit
	bits := dsp.Hash(uint64(at)/2, uint64(channel)) >> (at % 2 * 32)
	for i, x := range in {
		if i > 0 && (at+int64(i))%2 == 0 {
			bits = dsp.Hash(uint64(at+int64(i))/2, uint64(channel))
		}
		noise := int64(bits%unit) - int64(bits>>16%unit)
		bits >>= 32
		out[k] = clamp(int32((int64(float64(x)*scale)+noise+unit/2)>>16), full)
		k += step
	}
}

func (s *Sound) plain(out []int32, in []float32, scale float64) {
	full, step, k := s.full(), s.set.Channels, 0
	for _, x := range in {
		out[k] = clamp(int32((int64(float64(x)*(scale*unit))+unit/2)>>16), full)
		k += step
	}
}

// clamp is a net under the peak rule. It never acts.
func clamp(v, full int32) int32 { return min(max(v, -full-1), full) }
