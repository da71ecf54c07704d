package reed

import "reedlark/synth/dsp"

// Tone is one voice, over all the notes it is not broken by.
type Tone struct {
	First, End int64   // frames
	Rate       float64 // frames a second
	Gain       float64 // amplitude; a table's own is 1 as a loudness meter hears it
	Envelope   Envelope
	Scoop      Scoop
	Motion     Motion
	Legs       []Leg // at least one, in order
}

// Leg is a way of the pitch: from one to another, then on at the other until
// the next leg begins.
type Leg struct {
	At       int64   // frame it begins at
	Glide    float64 // seconds it moves; 0 if it does not
	From, To float64 // log2 of Hz
	A, B     int32   // the timbres of the two, by number
	Dip      float64 // dB the level sinks half way, where the second reed takes over
	// FromDB and ToDB are the levels at its two ends, dB re the voice's Gain.
	FromDB, ToDB float64
}

// Span is the first frame and the one after the last.
func (v *Tone) Span() (from, to int64) { return v.First, v.End }

// control is all that moves, at one frame. The gains are those of the own
// and dark waves of the leg's two tables.
type control struct {
	step  uint32
	gains [4]float32
}

// at reckons the controls of a leg at a frame.
func (v *Tone) at(leg *Leg, frame int64) control {
	return control{v.stepAt(leg, frame), v.gains(leg, frame)}
}

// gains are those of a control.
func (v *Tone) gains(leg *Leg, frame int64) [4]float32 {
	t := float64(frame-v.First) / v.Rate
	way := leg.way(float64(frame-leg.At) / v.Rate)
	_, part := v.Motion.At(t)
	gain, bright := v.Envelope.At(t)
	gain *= part * v.Gain * leg.level(way)
	own, dark := float64(gain*bright), float64(gain*(1-bright))
	return [4]float32{
		float32(own * (1 - way)), float32(dark * (1 - way)),
		float32(own * way), float32(dark * way),
	}
}

// stepAt is the step of a leg at a frame.
func (v *Tone) stepAt(leg *Leg, frame int64) uint32 {
	t := float64(frame-v.First) / v.Rate
	cents, _ := v.Motion.At(t)
	return v.step(leg, leg.way(float64(frame-leg.At)/v.Rate), cents+v.Scoop.At(t))
}

func (v *Tone) step(leg *Leg, way, cents float64) uint32 {
	octaves := leg.From + float64((leg.To-leg.From)*way) + cents/1200
	return dsp.Step(dsp.Exp2(octaves), v.Rate)
}

// way is how much of the leg's cents are travelled after t seconds, 0 to 1.
func (l *Leg) way(t float64) float64 {
	if l.Glide <= 0 {
		return 0
	}
	return dsp.Smooth(t / l.Glide)
}

// level is the gain so far along the way: from one end to the other in dB, and
// a dip between.
func (l *Leg) level(way float64) float64 {
	if l.Glide <= 0 {
		way = 1
	}
	db := l.FromDB + float64((l.ToDB-l.FromDB)*way) - float64(4*l.Dip*way*(1-way))
	if db == 0 {
		return 1
	}
	return dsp.Gain(db)
}

// Strength is the gains of the two waves at a frame, whatever the timbre, and
// the frame up to which they stay so.
func (v *Tone) Strength(frame int64) (own, dark float64, until int64) {
	leg, next := v.leg(frame)
	if from, to := v.steady(leg, next); frame >= from && frame < to {
		return v.Gain * leg.level(1), 0, to
	}
	g := v.gains(leg, frame)
	return float64(g[0]) + float64(g[2]), float64(g[1]) + float64(g[3]), frame
}

// leg is the leg at a frame, and the frame at which the next begins.
func (v *Tone) leg(frame int64) (*Leg, int64) {
	i := 0
	for i+1 < len(v.Legs) && v.Legs[i+1].At <= frame {
		i++
	}
	if i+1 < len(v.Legs) {
		return &v.Legs[i], v.Legs[i+1].At
	}
	return &v.Legs[i], v.End
}

// calm is the stretch of a leg in which nothing moves, in whole cells; empty
// if there is none.
func (v *Tone) calm(leg *Leg, end int64) (from, to int64) {
	from, to = v.steady(leg, end)
	from = max(from, v.First+frames(v.Scoop.Span(), v.Rate))
	return (from + Cell - 1) &^ (Cell - 1), to &^ (Cell - 1)
}

// steady is the stretch of a leg in which the strength does not move, though the
// pitch may; empty if there is none.
func (v *Tone) steady(leg *Leg, end int64) (from, to int64) {
	if v.Motion.Kind != Still {
		return end, end
	}
	a, b := v.Envelope.Calm()
	from = max(v.First+frames(a, v.Rate), leg.At+frames(leg.Glide, v.Rate))
	return from, min(end, v.First+int64(b*v.Rate))
}

// frames is how many frames cover so many seconds.
func frames(seconds, rate float64) int64 { return int64(seconds*rate) + 1 }
