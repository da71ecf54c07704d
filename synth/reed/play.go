package reed

import "reedlark/synth/dsp"

// Play adds the voice to out; see Part.
func (v *Tone) Play(out []float32, phase uint32, at int64, tables Tables) uint32 {
	for end := at + int64(len(out)); at < end; {
		b, next := v.breakpoint(at)
		stop := min(end, next)
		phase = v.playBreakpoint(out[:stop-at], phase, at, b, next, tables)
		out, at = out[stop-at:], stop
	}
	return phase
}

// playBreakpoint plays frames of one breakpoint, which ends at frame next.
func (v *Tone) playBreakpoint(out []float32, phase uint32, at int64, b *Breakpoint, next int64, tables Tables) uint32 {
	if v.Life != nil {
		return v.playLive(out, phase, at, b, next, tables)
	}
	waves := b.waves(tables)
	calmFrom, calmTo := v.calm(b, next)
	c := v.at(b, at)
	for end := at + int64(len(out)); at < end; {
		if at >= calmFrom && at < calmTo {
			stop := min(end, calmTo)
			phase = steady(out[:stop-at], phase, c, waves)
			out, at = out[stop-at:], stop // nothing has moved, so c serves on
			continue
		}
		stop := cut(at, next) // the segment's own end, though the block may stop before it
		d := v.at(b, stop)
		n := min(stop, end) - at
		phase = moving(out[:n], phase, c, d, int(stop-at), waves)
		out, at, c = out[n:], at+n, d
	}
	return phase
}

func (l *Breakpoint) waves(tables Tables) [4]*Wave {
	a := tables.Table(l.A)
	b := a
	if l.B != l.A {
		b = tables.Table(l.B)
	}
	return [4]*Wave{&a.Own, &a.Dark, &b.Own, &b.Dark}
}

// steady plays a stretch in which no control moves.
func steady(out []float32, phase uint32, c control, waves [4]*Wave) uint32 {
	for i, w := range waves {
		if c.gains[i] != 0 {
			loop(out, w, phase, c.step, c.gains[i])
		}
	}
	return phase + uint32(len(out))*c.step
}

// moving plays the first len(out) of n frames over which the controls go from
// c to d.
func moving(out []float32, phase uint32, c, d control, n int, waves [4]*Wave) uint32 {
	slope := dsp.Slope(c.step, d.step, n)
	var sounding [4]voicing
	count := 0
	for i, w := range waves {
		if c.gains[i] != 0 || d.gains[i] != 0 {
			sounding[count] = voicing{w, c.gains[i], (d.gains[i] - c.gains[i]) / float32(n)}
			count++
		}
	}
	for i := 0; i+1 < count; i += 2 {
		rampTwo(out, phase, c.step, slope, sounding[i], sounding[i+1])
	}
	if count%2 == 1 {
		ramp(out, phase, c.step, slope, sounding[count-1])
	}
	return dsp.Advance(phase, c.step, slope, len(out))
}

// voicing is a wave and how its gain starts and rises each frame.
type voicing struct {
	wave       *Wave
	gain, rise float32
}

// fraction turns the low 20 bits of a phase into the way to the next point.
const fraction = 1.0 / (1 << 20)

// loop is where the time goes: one look-up, one line between two points.
func loop(out []float32, w *Wave, phase, step uint32, gain float32) {
	for ; len(out) >= 4; out = out[4:] { // by fours, which is quicker by a tenth
		four := (*[4]float32)(out)
		four[0] += float32(gain * w.at(phase))
		four[1] += float32(gain * w.at(phase+step))
		four[2] += float32(gain * w.at(phase+2*step))
		four[3] += float32(gain * w.at(phase+3*step))
		phase += 4 * step
	}
	for i := range out {
		out[i] += float32(gain * w.at(phase))
		phase += step
	}
}

// at is the wave at a phase.
func (w *Wave) at(phase uint32) float32 {
	k := phase >> 20
	f := float32(int32(phase&(1<<20-1))) * fraction
	a := w[k]
	return a + float32(f*(w[k+1]-a))
}

// ramp is loop while the gain and the step move.
func ramp(out []float32, phase, step, slope uint32, v voicing) {
	w, gain := v.wave, v.gain
	for i := range out {
		out[i] += float32(gain * w.at(phase))
		phase += step
		step += slope
		gain += v.rise
	}
}

// rampTwo is ramp for two waves read at the same places.
func rampTwo(out []float32, phase, step, slope uint32, u, v voicing) {
	x, y, gx, gy := u.wave, v.wave, u.gain, v.gain
	for i := range out {
		k := phase >> 20
		f := float32(int32(phase&(1<<20-1))) * fraction
		a, b := x[k], y[k]
		a += float32(f * (x[k+1] - a))
		b += float32(f * (y[k+1] - b))
		out[i] += float32(gx*a) + float32(gy*b)
		phase += step
		step += slope
		gx += u.rise
		gy += v.rise
	}
}

// Advance is Play without the sound; see Part.
func (v *Tone) Advance(phase uint32, at, to int64) uint32 {
	for at < to {
		b, next := v.breakpoint(at)
		phase = v.advanceBreakpoint(phase, at, min(to, next), b, next)
		at = min(to, next)
	}
	return phase
}

func (v *Tone) advanceBreakpoint(phase uint32, at, to int64, b *Breakpoint, next int64) uint32 {
	if v.Life != nil {
		return v.advanceLive(phase, at, to, b, next)
	}
	calmFrom, calmTo := v.calm(b, next)
	step := v.stepAt(b, at)
	for at < to {
		if at >= calmFrom && at < calmTo {
			n := min(to, calmTo) - at
			phase, at = phase+uint32(n)*step, at+n
			continue
		}
		stop := cut(at, next)
		then := v.stepAt(b, stop)
		n := min(stop, to) - at
		phase = dsp.Advance(phase, step, dsp.Slope(step, then, int(stop-at)), int(n))
		at, step = at+n, then
	}
	return phase
}
