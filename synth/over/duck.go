package over

import (
	"math"

	"reedlark/synth/dsp"
)

// How the recording makes room, seconds. by ear: it is down when the sound
// begins, comes back slower than it went, and does not come back for a breath
// or a short rest.
const (
	downTime = 0.20
	backTime = 0.60
	restTime = 1.50 // between two spans: under it the recording stays down
)

// ducking is when the recording is lowered, and by how much.
type ducking struct {
	depth      float64 // dB
	down, back float64 // frames
	spans      []span
}

// span is a stretch of frames in which the recording is down; its ramps lie
// before and after it, and touch no other's.
type span struct{ from, to int64 }

func newDucking(s Settings, start int64) ducking {
	rate := float64(s.Rate)
	d := ducking{depth: s.Duck, down: downTime * rate, back: backTime * rate}
	frame := func(t float64) int64 { return start + int64(math.Round(t*rate)) }
	for _, heard := range s.Sounding {
		next := span{frame(heard.From), frame(heard.To)}
		if n := len(d.spans); n > 0 && float64(next.from-d.spans[n-1].to) < restTime*rate {
			d.spans[n-1].to = max(d.spans[n-1].to, next.to)
		} else {
			d.spans = append(d.spans, next)
		}
	}
	return d
}

// lower turns a block down where it has to be; frame is that of its beginning.
func (d ducking) lower(x []float64, frame int64, channels int) {
	if d.depth == 0 {
		return
	}
	down := dsp.Gain(-d.depth)
	next := 0
	for i := 0; i < len(x); i += channels {
		at := frame + int64(i/channels)
		for next < len(d.spans) && float64(at) > float64(d.spans[next].to)+d.back {
			next++
		}
		if next == len(d.spans) {
			return
		}
		part := d.part(d.spans[next], at)
		if part == 0 {
			continue
		}
		gain := down
		if part < 1 {
			gain = dsp.Gain(-d.depth * part)
		}
		for k := range channels {
			x[i+k] *= gain
		}
	}
}

// part is how far down the recording is at a frame, 0 to 1: an S in decibels.
func (d ducking) part(s span, at int64) float64 {
	switch {
	case at < s.from:
		return dsp.Smooth(1 - float64(s.from-at)/d.down)
	case at > s.to:
		return dsp.Smooth(1 - float64(at-s.to)/d.back)
	}
	return 1
}
