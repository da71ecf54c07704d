package reed

import (
	"math"

	"reedlark/synth/dsp"
)

// Breath is the noise of the air of one note, whatever its voices: one mouth,
// one noise. It follows the envelope of the note and is stronger where the
// note starts.
type Breath struct {
	First, End int64
	Rate       float64
	Gain       float64 // RMS amplitude of the steady noise
	Seed       uint64  // of the note
	Envelope   Envelope
}

// The strength of the noise under the tone's unweighted level.
// ref: 45 to 30 dB under it, stronger in the first 50 ms (recorded notes).
const (
	BreathDB   = -40.0
	burst      = 2.4   // times the steady noise, on top of it, at the start
	burstTau   = 0.025 // seconds
	burstUntil = dsp.Settled * burstTau
)

// Span is the first frame and the one after the last.
func (b *Breath) Span() (from, to int64) { return b.First, b.End }

// Advance does nothing: noise has no phase.
func (b *Breath) Advance(phase uint32, _, _ int64) uint32 { return phase }

// Strength is the RMS amplitude of the noise from a frame on.
func (b *Breath) Strength(frame int64) Strength {
	if from, to := b.calm(); frame >= from && frame < to {
		return Strength{Own: b.Gain, Until: to}
	}
	return Strength{Own: b.at(frame), Until: frame}
}

func (b *Breath) at(frame int64) float64 {
	t := float64(frame-b.First) / b.Rate
	gain, _ := b.Envelope.At(t)
	if b.Envelope.HandOver == 0 && t < burstUntil {
		gain *= 1 + float64(burst*(1-dsp.Rise(t/burstTau)))
	}
	return b.Gain * gain
}

// Play adds the noise to out; see Part.
func (b *Breath) Play(out []float32, phase uint32, at int64, tables Tables) uint32 {
	hiss := tables.Hiss()
	calmFrom, calmTo := b.calm()
	offset := dsp.Hash(b.Seed, 0)
	gain := float32(b.at(at))
	for end := at + int64(len(out)); at < end; {
		stop, then := calmTo, gain
		if at < calmFrom || at >= calmTo {
			stop = cut(at, b.End)
			then = float32(b.at(stop))
		}
		n := min(stop, end) - at
		addHiss(out[:n], hiss, offset+uint64(at), gain, (then-gain)/float32(stop-at))
		out, at, gain = out[n:], at+n, then
	}
	return phase
}

func (b *Breath) calm() (from, to int64) {
	x, y := b.Envelope.Calm()
	if b.Envelope.HandOver == 0 {
		x = max(x, burstUntil)
	}
	from = b.First + frames(x, b.Rate)
	to = b.First + int64(y*b.Rate)
	return (from + Segment - 1) &^ (Segment - 1), to &^ (Segment - 1)
}

// addHiss adds noise whose gain rises by rise a frame.
func addHiss(out, hiss []float32, at uint64, gain, rise float32) {
	for len(out) > 0 {
		from := hiss[at&(hissFrames-1):]
		n := min(len(out), len(from))
		if rise == 0 {
			dsp.AddScaled(out[:n], from[:n], gain)
		} else {
			addRising(out[:n], from[:n], gain, rise)
		}
		gain += float32(rise * float32(n))
		out, at = out[n:], at+uint64(n)
	}
}

func addRising(out, in []float32, gain, rise float32) {
	in = in[:len(out)]
	for i := range out {
		out[i] += float32(gain * in[i])
		gain += rise
	}
}

// hissFrames is how long the noise is before it comes round again; every
// note enters it elsewhere.
const hissFrames = 1 << 15

// The band of the noise, Hz: mostly 1 to 8 kHz (recorded notes).
const hissLow, hissHigh = 1000, 6000

// hiss is a round of band-limited noise of RMS 1: hashes through one-pole
// filters, run once over the end first so that the round has no seam.
func hiss(rate float64) []float32 {
	out := make([]float32, hissFrames)
	up, down := onePole(hissHigh/rate), onePole(hissLow/rate)
	var a, b, c float64
	power := 0.0
	for i := -1024; i < hissFrames; i++ {
		k := uint64(i+hissFrames) % hissFrames
		x := dsp.Triangle(dsp.Hash(k, 1))
		a += float64(up * (x - a))
		b += float64(up * (a - b))
		c += float64(down * (b - c))
		if i >= 0 {
			out[i] = float32(b - c)
			power += square(b - c)
		}
	}
	scale := float32(math.Sqrt(hissFrames / power))
	for i := range out {
		out[i] *= scale
	}
	return out
}

// onePole is the coefficient of a smoothing y += k·(x - y) with the given
// corner, in turns a frame.
func onePole(corner float64) float64 { return 1 - dsp.Exp(-2*math.Pi*corner) }
