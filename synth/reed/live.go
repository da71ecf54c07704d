package reed

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/reed/spectrum"
)

// A tone with a Life differs from a plain one in three ways. Its brightness
// follows its effort: harder is brighter, by mixing the own and the dark wave.
// While nothing else moves, its segments are as long as the grid of its Life.
// And it carries the noise of the breath, which pulses with its phase.

// liveAt is the controls at a frame.
func (v *Tone) liveAt(b *Breakpoint, frame int64) control {
	t, way := float64(frame-v.First)/v.Rate, b.way(float64(frame-b.At)/v.Rate)
	m := v.Life.at(frame)
	sway := v.Motion.sway(t)
	return control{
		v.step(b, way, sway.cents+v.Scoop.At(t)+m.cents),
		v.liveGains(b, t, way, v.Life.effort(m, t)+sway.db, sway.part),
	}
}

// liveStep is the step of liveAt alone.
func (v *Tone) liveStep(b *Breakpoint, frame int64) uint32 {
	t, way := float64(frame-v.First)/v.Rate, b.way(float64(frame-b.At)/v.Rate)
	return v.step(b, way, v.Motion.sway(t).cents+v.Scoop.At(t)+v.Life.at(frame).cents)
}

// liveGains are the gains of the four waves. The upper partials are at `upper` times
// the own wave's, of which the attack and the effort each have a share.
func (v *Tone) liveGains(b *Breakpoint, t, way, effort, part float64) [4]float32 {
	gain, bright := v.Envelope.At(t)
	shine := shineOf(effort)
	upper := float64((shade + float64((1-shade)*bright)) * shine)
	own := (upper - shade) / (1 - shade)
	gain *= part * v.Gain * dsp.Gain(b.db(way)+effort-float64(v.Lift*(shine-1)))
	x, y := float64(gain*own), float64(gain*(1-own))
	return [4]float32{
		float32(x * (1 - way)), float32(y * (1 - way)),
		float32(x * way), float32(y * way),
	}
}

// shineOf is the gain of the upper partials, 10^(AccentShare·effort/20), to a
// thousandth for the efforts there are.
func shineOf(effort float64) float64 {
	x := spectrum.AccentShare * math.Ln10 / 20 * effort
	x = min(max(x, -1), 1)
	return 1 + float64(x*(1+float64(x/2*(1+float64(x/3*(1+float64(x/4*(1+x/5))))))))
}

// Lift is by how much a table gets louder, dB, for each part by which effort
// raises its upper partials; a tone takes it back, so that effort is level.
func Lift(f Facts) float64 {
	const more = 0.2
	own := 1 + more/(1-shade)
	return dsp.Decibels(f.Weighted.Level(own, 1-own)) / more
}

// slow is the stretch of a breakpoint in which only Life moves, in whole
// segments; empty if there is none. What is left of the attack and the scoop by
// then is small enough for straight lines.
func (v *Tone) slow(b *Breakpoint, end int64) (from, to int64) {
	if v.Motion.Kind != Still {
		return end, end
	}
	start, fall := v.Envelope.Calm()
	if v.Envelope.HandOver == 0 {
		a := v.Envelope.Attack
		start = a.Wait + max(float64(nearlyRisen*a.Tau), a.Lag)
	}
	start = max(start, nearlyClosed*v.Scoop.Tau)
	from = max(v.First+frames(start, v.Rate), b.At+frames(b.Glide, v.Rate))
	to = min(end, v.First+int64(fall*v.Rate))
	return (from + Segment - 1) &^ (Segment - 1), to &^ (Segment - 1)
}

// After so many time constants an attack and a scoop are nearly over.
const (
	nearlyRisen  = 3.5
	nearlyClosed = 2.0
)

// quickGrid is the number of frames between two nodes while an attack, a glide or
// a release moves.
const quickGrid = 2 * Segment

// segment is the segment that frame at lies in: from one node of Life to the next
// where it is slow, else between multiples of quickGrid, as far as what moves there
// reaches.
func (v *Tone) segment(b *Breakpoint, at, slowFrom, slowTo, next int64) (from, to int64) {
	if at >= slowFrom && at < slowTo {
		node := at / v.Life.Grid * v.Life.Grid
		return max(node, slowFrom), min(node+v.Life.Grid, slowTo)
	}
	node := at &^ (quickGrid - 1)
	from, to = max(node, v.First), min(node+quickGrid, next)
	if b != &v.Breakpoints[0] {
		from = max(from, b.At)
	}
	switch {
	case slowFrom >= slowTo:
	case at < slowFrom:
		to = min(to, slowFrom)
	default:
		from = max(from, slowTo)
	}
	return from, to
}

// playLive is playBreakpoint for a tone with a Life.
func (v *Tone) playLive(out []float32, phase uint32, at int64, b *Breakpoint, next int64, tables Tables) uint32 {
	waves := b.waves(tables)
	noise := v.Noise.pulsing(tables)
	slowFrom, slowTo := v.slow(b, next)
	from, to := v.segment(b, at, slowFrom, slowTo, next)
	c := v.liveAt(b, from)
	for end := at + int64(len(out)); at < end; {
		d := v.liveAt(b, to)
		n := min(to, end) - at
		phase = v.playSegment(out[:n], phase, at, c.glide(d, to-from), at-from, waves, noise)
		out, at, c = out[n:], at+n, d
		from, to = v.segment(b, at, slowFrom, slowTo, next)
	}
	return phase
}

// glide is the controls of a segment, and how they grow each frame.
type glide struct {
	step, slope uint32
	gain, rise  [4]float32
}

func (c control) glide(d control, n int64) glide {
	g := glide{step: c.step, slope: dsp.Slope(c.step, d.step, int(n)), gain: c.gains}
	for i := range g.rise {
		g.rise[i] = (d.gains[i] - c.gains[i]) / float32(n)
	}
	return g
}

// playSegment plays frames of a segment from so far into it, in pieces that end
// at multiples of Segment.
func (v *Tone) playSegment(out []float32, phase uint32, at int64, g glide, into int64, waves [4]*Wave, noise pulsing) uint32 {
	for len(out) > 0 {
		n := min(cut(at, v.End)-at, int64(len(out)))
		step := g.step + g.slope*uint32(into)
		for i := 0; i < 4; i += 2 {
			if g.gain[i] != 0 || g.gain[i+1] != 0 || g.rise[i] != 0 || g.rise[i+1] != 0 {
				mix(out[:n], waves[i], waves[i+1], phase, step, g.slope, g.at(i, into), g.at(i+1, into))
			}
		}
		if v.Noise != nil {
			noise.add(out[:n], phase, step, at)
		}
		phase = advanceFours(phase, step, g.slope, int(n))
		out, at, into = out[n:], at+n, into+n
	}
	return phase
}

// level is a gain and how it rises each frame.
type level struct{ gain, rise float32 }

func (g *glide) at(i int, into int64) level {
	return level{g.gain[i] + float32(float32(into)*g.rise[i]), g.rise[i]}
}

// mix adds two waves read at the same places. Four frames at a time have one
// gain and one step.
func mix(out []float32, a, b *Wave, phase, step, slope uint32, x, y level) {
	for ; len(out) >= 4; out = out[4:] {
		four := (*[4]float32)(out)
		four[0] += mixed(a, b, phase, x.gain, y.gain)
		four[1] += mixed(a, b, phase+step, x.gain, y.gain)
		four[2] += mixed(a, b, phase+2*step, x.gain, y.gain)
		four[3] += mixed(a, b, phase+3*step, x.gain, y.gain)
		phase += 4 * step
		step += 4 * slope
		x.gain += float32(4 * x.rise)
		y.gain += float32(4 * y.rise)
	}
	for i := range out {
		out[i] += mixed(a, b, phase, x.gain, y.gain)
		phase += step
	}
}

// advanceFours is the phase after n frames of mix.
func advanceFours(phase, step, slope uint32, n int) uint32 {
	m := uint32(n / 4)
	phase += 4*m*step + 16*slope*(m*(m-1)/2)
	return phase + uint32(n%4)*(step+4*slope*m)
}

// mixed is a mixture of two waves at a phase.
func mixed(a, b *Wave, phase uint32, x, y float32) float32 {
	k := phase >> 20
	f := float32(int32(phase&(1<<20-1))) * fraction
	u := float32(x*a[k]) + float32(y*b[k])
	w := float32(x*a[k+1]) + float32(y*b[k+1])
	return u + float32(f*(w-u))
}

// advanceLive is the phase of playLive without the sound.
func (v *Tone) advanceLive(phase uint32, at, to int64, b *Breakpoint, next int64) uint32 {
	slowFrom, slowTo := v.slow(b, next)
	from, end := v.segment(b, at, slowFrom, slowTo, next)
	step := v.liveStep(b, from)
	for at < to {
		then := v.liveStep(b, end)
		slope := dsp.Slope(step, then, int(end-from))
		for stop := min(end, to); at < stop; {
			n := min(cut(at, v.End), stop) - at
			phase = advanceFours(phase, step+slope*uint32(at-from), slope, int(n))
			at += n
		}
		from, end = v.segment(b, at, slowFrom, slowTo, next)
		step = then
	}
	return phase
}

// liveStrength is Strength for a tone with a Life.
func (v *Tone) liveStrength(b *Breakpoint, frame, next int64) Strength {
	slowFrom, slowTo := v.slow(b, next)
	if frame < slowFrom || frame >= slowTo {
		own, dark := v.liveWaves(b, frame)
		return Strength{Own: own, Dark: dark, Until: frame}
	}
	from, to := v.segment(b, frame, slowFrom, slowTo, next)
	own, dark := v.liveWaves(b, from)
	own2, dark2 := v.liveWaves(b, to)
	return along(from, to, frame, [4]float64{own, dark, own2, dark2})
}

// along is the strength at a frame between two, of which the gains are given.
func along(from, to, frame int64, g [4]float64) Strength {
	s := Strength{Until: to}
	s.OwnRise, s.DarkRise = (g[2]-g[0])/float64(to-from), (g[3]-g[1])/float64(to-from)
	into := float64(frame - from)
	s.Own, s.Dark = g[0]+float64(into*s.OwnRise), g[1]+float64(into*s.DarkRise)
	return s
}

// Follow is Strength for frames that are asked for in order, which costs half.
func (v *Tone) Follow() func(frame int64) Strength {
	if v.Life == nil {
		return v.Strength
	}
	var last Strength // of the segment that ends where it is over
	var since int64
	return func(frame int64) Strength {
		b, next := v.breakpoint(frame)
		slowFrom, slowTo := v.slow(b, next)
		from, to := v.segment(b, frame, slowFrom, slowTo, next)
		if from != last.Until || frame < slowFrom || frame >= slowTo {
			last, since = v.liveStrength(b, frame, next), frame
			return last
		}
		over := float64(from - since)
		own2, dark2 := v.liveWaves(b, to)
		last = along(from, to, frame, [4]float64{last.Own + float64(over*last.OwnRise), last.Dark + float64(over*last.DarkRise), own2, dark2})
		since = frame
		return last
	}
}

// liveWaves are the gains of the two waves at a frame, whatever the timbre.
func (v *Tone) liveWaves(b *Breakpoint, frame int64) (own, dark float64) {
	t, way := float64(frame-v.First)/v.Rate, b.way(float64(frame-b.At)/v.Rate)
	sway := v.Motion.sway(t)
	g := v.liveGains(b, t, way, v.Life.effort(v.Life.at(frame), t)+sway.db, sway.part)
	return float64(g[0]) + float64(g[2]), float64(g[1]) + float64(g[3])
}
