package synth

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/loud"
	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// tick is one click of the metronome: a short plain tone.
type tick struct {
	first int64
	wave  []float32
	gain  float64
	hz    float64
}

// The two ticks. by ear: high enough to be heard through the reeds, no pitch
// to speak of, over in a twentieth of a second. Peaks re a reed's level.
const (
	tickHz, tickGain     = 1500.0, 1.1
	accentHz, accentGain = 2100.0, 1.8
	tickTau              = 0.008 // seconds
	tickRise             = 0.0015
	tickSeconds          = 0.056
)

func (p *planner) addTicks(clicks []score.Click) {
	if len(clicks) == 0 {
		return
	}
	plain, accent := tickWave(tickHz, p.set.Rate), tickWave(accentHz, p.set.Rate)
	weighting := dsp.NewWeighting(float64(p.set.Rate))
	for _, c := range clicks {
		t := &tick{first: p.frame(c.Start), wave: plain, gain: tickGain, hz: tickHz}
		if c.Accent {
			t.wave, t.gain, t.hz = accent, accentGain, accentHz
		}
		if left := p.frames - t.first; left < int64(len(t.wave)) {
			t.wave = t.wave[:max(0, left)]
		}
		if len(t.wave) > 0 {
			p.sources = append(p.sources, &loud.Click{Part: t, Weight: weighting.Power(t.hz / float64(p.set.Rate)), Peak: t.peak, RMS: t.rms})
			p.parts = append(p.parts, t)
		}
	}
}

// tickWave is a tone of peak 1 at most that rises at once, decays by e every
// tickTau and comes to rest.
func tickWave(hz float64, rate int) []float32 {
	out := make([]float32, int(tickSeconds*float64(rate)))
	for i := range out {
		t := float64(i) / float64(rate)
		rest := dsp.FadeOut(t / tickSeconds)
		gain := dsp.Smooth(t/tickRise) * dsp.Exp(-t/tickTau) * rest
		out[i] = float32(gain * dsp.Sin(hz*t))
	}
	return out
}

// Span is the first frame and the one after the last.
func (t *tick) Span() (from, to int64) { return t.first, t.first + int64(len(t.wave)) }

// Advance does nothing: a tick is the same every time.
func (t *tick) Advance(phase uint32, _, _ int64) uint32 { return phase }

// Play adds the tick to out.
func (t *tick) Play(out []float32, phase uint32, at int64, _ reed.Tables) uint32 {
	gain := float32(t.gain)
	for i, x := range t.wave[at-t.first:][:len(out)] {
		out[i] += float32(gain * x)
	}
	return phase
}

// peak bounds that of any frames.
func (t *tick) peak(_, _ int64) float64 { return t.gain }

// rms is the root mean square of the frames from a up to b.
func (t *tick) rms(a, b int64) float64 {
	sum := 0.0
	for i := max(a-t.first, 0); i < min(b-t.first, int64(len(t.wave))); i++ {
		x := t.gain * float64(t.wave[i])
		sum += float64(x * x)
	}
	return math.Sqrt(sum / float64(b-a))
}
