package band

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/reed"
)

// Drum is a kind of drum.
type Drum uint8

// The drums. Brush is a brush on the snare, Hat a closed hi-hat.
const (
	Kick Drum = iota
	Snare
	Brush
	Hat
	Shaker
)

// recipe is what a drum is made of: a tone that falls to its pitch, and noise.
type recipe struct {
	seconds   float64 // of the stroke
	rise      float64 // seconds
	hz, from  float64 // of the tone; where it begins, times as high
	tone, tau float64 // strength of the tone, and its time constant in seconds
	noise     float64 // strength of the noise
	fade      float64 // time constant of the noise, seconds
	low, high float64 // Hz, the band of the noise
}

// recipes are those of all drums. by ear: nobody listened, so by their spectra and
// lengths, which are those of their kind; ref: N. Fletcher & T. Rossing, The Physics of
// Musical Instruments, chapter 18 (from memory).
var recipes = [...]recipe{
	Kick:   {seconds: 0.26, rise: 0.002, hz: 52, from: 3.0, tone: 1, tau: 0.075, noise: 0.16, fade: 0.006, low: 1200, high: 5000},
	Snare:  {seconds: 0.22, rise: 0.001, hz: 186, from: 1.25, tone: 0.45, tau: 0.045, noise: 0.9, fade: 0.050, low: 1100, high: 7000},
	Brush:  {seconds: 0.24, rise: 0.004, hz: 186, from: 1.1, tone: 0.1, tau: 0.030, noise: 0.9, fade: 0.060, low: 1500, high: 6500},
	Hat:    {seconds: 0.09, rise: 0.001, noise: 1, fade: 0.018, low: 5500, high: 9500},
	Shaker: {seconds: 0.10, rise: 0.006, noise: 1, fade: 0.022, low: 3500, high: 8000},
}

// Sample is one stroke of a drum, and what is known of it without playing it.
type Sample struct {
	wave   []float32
	energy []float64 // as a loudness meter weighs it, up to each multiple of grain
	peaks  []float64 // between two of them
}

// grain is in frames.
const grain = 64

// Early is how much before its beat a drum has to be struck so that it passes -10 dB
// on it, seconds.
func (d Drum) Early() float64 { return float64(recipes[d].rise * passes) }

// passes is where [dsp.Smooth] is -10 dB.
const passes = 0.3655

// NewSample makes a stroke of a drum at a rate; each variant has other noise. A
// loudness meter hears it as loud as a tone of power 1 that lasts strokeSeconds.
func NewSample(d Drum, variant uint64, rate int) *Sample {
	r := recipes[d]
	s := &Sample{wave: make([]float32, int(r.seconds*float64(rate)))}
	hiss := newHiss(r, float64(rate), dsp.Hash(uint64(d), variant))
	filter := dsp.NewWeighting(float64(rate)).Filter()
	phase, energy := 0.0, 0.0
	x := make([]float64, len(s.wave))
	for i := range x {
		t := float64(i) / float64(rate)
		phase += r.pitch(t) / float64(rate)
		tone := r.tone * dsp.Sin(phase) * dsp.Exp(-t/max(r.tau, 1e-3))
		noise := r.noise * hiss.next() * dsp.Exp(-t/r.fade)
		x[i] = float64((float64(tone)+float64(noise))*dsp.Smooth(t/r.rise)) * dsp.FadeOut(2*t/r.seconds-1)
		y := filter.Next(x[i])
		energy += float64(y * y)
	}
	s.scale(x, math.Sqrt(strokeSeconds*float64(rate)/energy), rate)
	return s
}

// strokeSeconds is the length of a tone that is as loud as a stroke.
const strokeSeconds = 0.05

// scale fills the sample with a wave times a gain.
func (s *Sample) scale(x []float64, gain float64, rate int) {
	filter := dsp.NewWeighting(float64(rate)).Filter()
	energy, peak := 0.0, 0.0
	for i, v := range x {
		if i%grain == 0 {
			s.energy = append(s.energy, energy)
			if i > 0 {
				s.peaks = append(s.peaks, peak)
			}
			peak = 0
		}
		v *= gain
		s.wave[i] = float32(v)
		y := filter.Next(v)
		energy += float64(y * y)
		peak = max(peak, math.Abs(v))
	}
	s.energy, s.peaks = append(s.energy, energy), append(s.peaks, peak)
}

// pitch is that of the tone after t seconds.
func (r recipe) pitch(t float64) float64 {
	const falls = 0.018 // seconds, the time constant
	return r.hz * (1 + float64((r.from-1)*dsp.Exp(-t/falls)))
}

// hiss is noise in a band, by hashes through one-pole filters.
type hiss struct {
	seed     uint64
	at       uint64
	up, down float64
	a, b, c  float64
	scale    float64
}

func newHiss(r recipe, rate float64, seed uint64) *hiss {
	pole := func(hz float64) float64 { return 1 - dsp.Exp(-2*math.Pi*min(hz/rate, 0.45)) }
	h := &hiss{seed: seed, up: pole(r.high), down: pole(r.low), scale: 3}
	for range 256 {
		h.next()
	}
	return h
}

func (h *hiss) next() float64 {
	x := dsp.Triangle(dsp.Hash(h.seed, h.at))
	h.at++
	h.a += float64(h.up * (x - h.a))
	h.b += float64(h.down * (h.a - h.b))
	h.c += float64(h.down * (h.a - h.b - h.c))
	return h.scale * (h.a - h.b - h.c)
}

// Stroke is a drum that is struck.
type Stroke struct {
	First, Last int64 // frames; Last is the one after the last
	Gain        float64
	Sample      *Sample
}

// NewStroke strikes at a frame of a sound of so many.
func NewStroke(s *Sample, first, frames int64, gain float64) *Stroke {
	return &Stroke{First: first, Last: min(first+int64(len(s.wave)), frames), Gain: gain, Sample: s}
}

// Span is the first frame and the one after the last.
func (s *Stroke) Span() (from, to int64) { return s.First, s.Last }

// Advance does nothing: a stroke has no phase.
func (s *Stroke) Advance(phase uint32, _, _ int64) uint32 { return phase }

// Play adds the stroke to out; see [reed.Part].
func (s *Stroke) Play(out []float32, phase uint32, at int64, _ reed.Tables) uint32 {
	gain := float32(s.Gain)
	for i, x := range s.Sample.wave[at-s.First:][:len(out)] {
		out[i] += float32(gain * x)
	}
	return phase
}

// RMS is the root mean square of the frames from a up to b, as a loudness meter
// weighs them.
func (s *Stroke) RMS(a, b int64) float64 {
	energy := s.Sample.upTo(b-s.First) - s.Sample.upTo(a-s.First)
	return s.Gain * math.Sqrt(max(energy, 0)/float64(b-a))
}

// upTo is the energy of the first frames.
func (s *Sample) upTo(frame int64) float64 {
	frame = min(max(frame, 0), int64(len(s.wave)))
	i := int(frame / grain)
	if i+1 >= len(s.energy) {
		return s.energy[len(s.energy)-1]
	}
	return s.energy[i] + float64((s.energy[i+1]-s.energy[i])*float64(frame%grain)/grain)
}

// between is how much noise can peak between its samples, times. by trial.
const between = 1.35

// Peak is a bound of the true peak of the frames from a up to b.
func (s *Stroke) Peak(a, b int64) float64 {
	high := 0.0
	for i := max(a-s.First, 0) / grain; i <= (b-s.First)/grain && i < int64(len(s.Sample.peaks)); i++ {
		high = max(high, s.Sample.peaks[i])
	}
	return between * s.Gain * high
}
