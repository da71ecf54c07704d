package synth

import "math"

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

// dither adds noise of triangular density, one bit either way, and rounds.
// ref: Lipshitz, Wannamaker & Vanderkooy, "Quantization and dither", JAES
// 40(5), 1992.
func (s *Sound) dither(out []int32, in []float32, at int64, channel int, scale float64) {
	for len(in) > 0 {
		noise := ditherAt(at, channel+s.seat)
		n := min(len(noise), len(in))
		if s.set.Channels == 1 {
			round(out[:n], in[:n], noise, float32(scale*unit))
		} else {
			roundApart(out, in[:n], noise, float32(scale*unit))
		}
		out, in, at = out[min(n*s.set.Channels, len(out)):], in[n:], at+int64(n)
	}
}

func round(out []int32, in []float32, noise []int32, scale float32) {
	noise, out = noise[:len(in)], out[:len(in)]
	over := uint32(0)
	for i, x := range in {
		v := (int32(x*scale) + noise[i]) >> unitBits
		over |= uint32(v - math.MinInt16)
		out[i] = v
	}
	if over > math.MaxUint16 {
		clampAll(out)
	}
}

// roundApart is round into every second sample.
func roundApart(out []int32, in []float32, noise []int32, scale float32) {
	noise, out = noise[:len(in)], out[:2*len(in)-1]
	for i, x := range in {
		out[2*i] = clamp((int32(x*scale)+noise[i])>>unitBits, math.MaxInt16)
	}
}

func (s *Sound) plain(out []int32, in []float32, scale float64) {
	full, step, k := s.full(), s.set.Channels, 0
	for _, x := range in {
		out[k] = clamp(int32(math.Floor(float64(float64(x)*scale)+0.5)), full)
		k += step
	}
}

// clamp is a net under the peak rule. It never acts.
func clamp(v, full int32) int32 { return min(max(v, -full-1), full) }

func clampAll(out []int32) {
	for i, v := range out {
		out[i] = clamp(v, math.MaxInt16)
	}
}
