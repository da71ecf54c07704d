package reed

import (
	"math"

	"reedlark/synth/dsp"
)

// The noise of a tone with a Life does not come round again: it is cut out of the
// round of noise in stretches of pulseFrames, each from a place of its own. The
// first pulseBlend frames of a stretch fade over from the one before.
const (
	pulseFrames = 1 << 12
	pulseBlend  = Segment
)

// pulseDepth is how far the strength of the noise swings with the reed: as much
// power goes up and down as 1 + 0.8·cos of the phase of the first partial. A
// triangle does for the cosine; 8/π² of it is its first partial.
// ref: D. Hermes, "Synthesis of breathy vowels", Speech Communication 10, 1991.
const pulseDepth = 0.45

// pulsing is a breath that pulses, and what it needs for many segments.
type pulsing struct {
	*Breath
	hiss             []float32
	calmFrom, calmTo int64
}

func (b *Breath) pulsing(tables Tables) pulsing {
	if b == nil {
		return pulsing{}
	}
	from, to := b.calm()
	return pulsing{b, tables.Hiss(), from, to}
}

// add adds the noise of frames inside one segment, from frame at on, while the reed
// has a phase and a step.
func (b *pulsing) add(out []float32, phase, step uint32, at int64) {
	gain := b.Gain
	if at < b.calmFrom || at >= b.calmTo {
		gain = b.at(at)
	}
	gain = float64(gain * pulsePower)
	base, depth := float32(float64(gain*(1-pulseDepth))), float32(float64(gain*2*pulseDepth/(1<<31)))
	noise := b.stretch(b.hiss, at/pulseFrames)[at%pulseFrames:][:len(out)]
	if at%pulseFrames < pulseBlend {
		var blended [pulseBlend]float32
		before := b.stretch(b.hiss, at/pulseFrames-1)[pulseFrames+at%pulseFrames:]
		for i := range out {
			k := int(at%pulseFrames) + i
			blended[i] = float32(noise[i]*blendIn[k]) + float32(before[i]*blendIn[pulseBlend-1-k])
		}
		noise = blended[:len(out)]
	}
	addPulsed(out, noise, phase, step, base, depth)
}

// blendIn is how a stretch fades in; the one before fades out the other way round.
var blendIn = func() (out [pulseBlend]float32) {
	for i := range out {
		out[i] = float32(dsp.FadeIn((float64(i) + 0.5) / pulseBlend))
	}
	return out
}()

// pulsePower makes up for what the pulse adds to the power: the mean square of a
// triangle is a third.
var pulsePower = 1 / math.Sqrt(1+float64(pulseDepth*pulseDepth)/3)

// stretch is the noise of stretch k, and the frames in which the next fades in.
func (b *Breath) stretch(hiss []float32, k int64) []float32 {
	const long = pulseFrames + pulseBlend
	from := dsp.Hash(b.Seed, uint64(k)) % (hissFrames - long)
	return hiss[from:][:long]
}

// addPulsed adds noise whose gain is base and, in the middle of a turn, as much
// more as depth times half a turn. Four frames at a time have one gain.
func addPulsed(out, noise []float32, phase, step uint32, base, depth float32) {
	for ; len(out) >= 4 && len(noise) >= 4; out, noise = out[4:], noise[4:] {
		a, b := (*[4]float32)(out), (*[4]float32)(noise)
		gain := base + float32(depth*triangle(phase))
		a[0] += float32(gain * b[0])
		a[1] += float32(gain * b[1])
		a[2] += float32(gain * b[2])
		a[3] += float32(gain * b[3])
		phase += 4 * step
	}
	for i := range min(len(out), len(noise)) {
		out[i] += float32((base + float32(depth*triangle(phase))) * noise[i])
	}
}

// triangle is the distance of a phase from 0, up to half a turn.
func triangle(phase uint32) float32 {
	x := int32(phase)
	return float32(x ^ x>>31)
}
