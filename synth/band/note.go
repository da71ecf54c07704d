package band

import (
	"reedlark/synth/dsp"
	"reedlark/synth/reed"
)

// Note is one note of one voice. Its pitch stays where it is.
type Note struct {
	First, End int64   // frames
	Rate       float64 // frames a second
	Gain       float64 // amplitude; a table's own is 1 as a loudness meter hears it
	Kind       Kind
	Step       uint32 // of the phase, a frame
	Table      *Table
}

// How the voices move, seconds. by ear: a string speaks at once and is damped
// by a hand, a held tone swells and lets go without a bump.
const (
	pluckRise  = 0.004
	ringTau    = 0.70 // the whole of the string dies away by e
	edgeTau    = 0.09 // so does its edge
	damp       = 0.045
	swell      = 0.050
	strike     = 0.020
	letGo      = 0.080
	endOfShort = 0.4 // of a note at most, for rise and fall each
)

// Early is how much before its beat a note of a kind has to begin so that it passes
// -10 dB on it, seconds; a drone has no beat.
func (k Kind) Early() float64 {
	switch k {
	case Plucked:
		return float64(pluckRise * passes)
	case Comped:
		return float64(strike * passes)
	}
	return 0
}

// Span is the first frame and the one after the last.
func (n *Note) Span() (from, to int64) { return n.First, n.End }

// Strength is the gains of the own wave and of its edge from a frame on.
func (n *Note) Strength(frame int64) reed.Strength {
	if from, to := n.calm(); frame >= from && frame < to {
		return reed.Strength{Own: n.Gain, Until: to}
	}
	own, edge := n.at(frame)
	return reed.Strength{Own: own, Dark: edge, Until: frame}
}

func (n *Note) at(frame int64) (own, edge float64) {
	t, length := n.seconds(frame-n.First), n.seconds(n.End-n.First)
	rise, fall := pluckRise, damp
	switch n.Kind {
	case Soft:
		rise, fall = swell, letGo
	case Comped:
		rise, fall = strike, letGo
	}
	rise, fall = min(rise, endOfShort*length), min(fall, endOfShort*length)
	gain := n.Gain * dsp.Smooth(t/rise) * dsp.Smooth((length-t)/fall)
	if n.Kind != Plucked {
		return gain, 0
	}
	return gain * dsp.Exp(-t/ringTau), gain * dsp.Exp(-t/edgeTau)
}

func (n *Note) seconds(frames int64) float64 { return float64(frames) / n.Rate }

// calm is the stretch in which the strength of a held tone does not move, in
// whole segments; empty if there is none.
func (n *Note) calm() (from, to int64) {
	if n.Kind == Plucked {
		return n.End, n.End
	}
	from = n.First + int64(swell*n.Rate) + 1
	to = n.End - int64(letGo*n.Rate) - 1
	return (from + reed.Segment - 1) &^ (reed.Segment - 1), to &^ (reed.Segment - 1)
}

// Advance is the phase at frame `to`; see [reed.Part].
func (n *Note) Advance(phase uint32, at, to int64) uint32 { return phase + uint32(to-at)*n.Step }

// Play adds the note to out; see [reed.Part].
func (n *Note) Play(out []float32, phase uint32, at int64, _ reed.Tables) uint32 {
	calmFrom, calmTo := n.calm()
	for end := at + int64(len(out)); at < end; {
		stop := min(at&^(reed.Segment-1)+reed.Segment, n.End) // the segment's own end, though the block may stop before it
		if at >= calmFrom && at < calmTo {
			stop = calmTo
		}
		own, edge := n.at(at)
		own2, edge2 := n.at(stop)
		length, k := float32(stop-at), min(stop, end)-at
		ramp(out[:k], &n.Table.own, phase, n.Step, float32(own), (float32(own2)-float32(own))/length)
		if edge > edgeless || edge2 > edgeless {
			ramp(out[:k], &n.Table.edge, phase, n.Step, float32(edge), (float32(edge2)-float32(edge))/length)
		}
		out, at, phase = out[k:], at+k, n.Advance(phase, at, at+k)
	}
	return phase
}

// edgeless is the gain under which nobody hears the edge.
const edgeless = 1e-6

// fraction turns the low bits of a phase into the way to the next point.
const fraction = 1.0 / (1 << shift)

// ramp adds a wave whose gain rises by rise a frame.
func ramp(out []float32, w *wave, phase, step uint32, gain, rise float32) {
	for i := range out {
		k := phase >> shift
		f := float32(float32(int32(phase&(1<<shift-1))) * fraction)
		a := w[k]
		out[i] += float32(gain * (a + float32(f*(w[k+1]-a))))
		phase += step
		gain += rise
	}
}
