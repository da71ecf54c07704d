package reed

import "reedlark/synth/dsp"

// Tone is one voice, over all the notes it is not broken by.
type Tone struct {
	First, End  int64   // frames
	Rate        float64 // frames a second
	Gain        float64 // amplitude; a table's own is 1 as a loudness meter hears it
	Envelope    Envelope
	Scoop       Scoop
	Motion      Motion
	Breakpoints []Breakpoint // at least one, in order
	// Life is how the breath behind it moves; nil where it does not.
	Life *Life
	Lift float64 // of its table, see [Lift]; for Life
	// Noise is that of the breath, if this tone carries it: it pulses with the
	// tone. Only a tone with a Life does.
	Noise *Breath
}

// Breakpoint is where the pitch starts to move: from one to another, where it stays
// until the next breakpoint.
type Breakpoint struct {
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
// and dark waves of the breakpoint's two tables.
type control struct {
	step  uint32
	gains [4]float32
}

// at reckons the controls of a breakpoint at a frame.
func (v *Tone) at(b *Breakpoint, frame int64) control {
	return control{v.stepAt(b, frame), v.gains(b, frame)}
}

// gains are those of a control.
func (v *Tone) gains(b *Breakpoint, frame int64) [4]float32 {
	t := float64(frame-v.First) / v.Rate
	way := b.way(float64(frame-b.At) / v.Rate)
	_, part := v.Motion.At(t)
	gain, bright := v.Envelope.At(t)
	gain *= part * v.Gain * b.level(way)
	own, dark := float64(gain*bright), float64(gain*(1-bright))
	return [4]float32{
		float32(own * (1 - way)), float32(dark * (1 - way)),
		float32(own * way), float32(dark * way),
	}
}

// stepAt is the step of a breakpoint at a frame.
func (v *Tone) stepAt(b *Breakpoint, frame int64) uint32 {
	t := float64(frame-v.First) / v.Rate
	cents, _ := v.Motion.At(t)
	return v.step(b, b.way(float64(frame-b.At)/v.Rate), cents+v.Scoop.At(t))
}

func (v *Tone) step(b *Breakpoint, way, cents float64) uint32 {
	octaves := b.From + float64((b.To-b.From)*way) + cents/1200
	return dsp.Step(dsp.Exp2(octaves), v.Rate)
}

// way is how much of the breakpoint's cents are travelled after t seconds, 0 to 1.
func (l *Breakpoint) way(t float64) float64 {
	if l.Glide <= 0 {
		return 0
	}
	return dsp.Smooth(t / l.Glide)
}

// db is the level so far along the way: from one end to the other, and a dip
// between.
func (l *Breakpoint) db(way float64) float64 {
	if l.Glide <= 0 {
		way = 1
	}
	return l.FromDB + float64((l.ToDB-l.FromDB)*way) - float64(4*l.Dip*way*(1-way))
}

// level is db as a gain.
func (l *Breakpoint) level(way float64) float64 {
	db := l.db(way)
	if db == 0 {
		return 1
	}
	return dsp.Gain(db)
}

// Strength is the gains of the two waves of a part from a frame on: they rise
// evenly, each frame, up to Until.
type Strength struct {
	Own, Dark         float64
	OwnRise, DarkRise float64
	Until             int64
}

// Strength is the gains of the two waves from a frame on, whatever the timbre.
func (v *Tone) Strength(frame int64) Strength {
	b, next := v.breakpoint(frame)
	if v.Life != nil {
		return v.liveStrength(b, frame, next)
	}
	if from, to := v.steady(b, next); frame >= from && frame < to {
		return Strength{Own: v.Gain * b.level(1), Until: to}
	}
	g := v.gains(b, frame)
	return Strength{Own: float64(g[0]) + float64(g[2]), Dark: float64(g[1]) + float64(g[3]), Until: frame}
}

// breakpoint is the breakpoint at a frame, and the frame at which the next begins.
func (v *Tone) breakpoint(frame int64) (*Breakpoint, int64) {
	i := 0
	for i+1 < len(v.Breakpoints) && v.Breakpoints[i+1].At <= frame {
		i++
	}
	if i+1 < len(v.Breakpoints) {
		return &v.Breakpoints[i], v.Breakpoints[i+1].At
	}
	return &v.Breakpoints[i], v.End
}

// calm is the stretch of a breakpoint in which nothing moves, in whole segments; empty
// if there is none.
func (v *Tone) calm(b *Breakpoint, end int64) (from, to int64) {
	from, to = v.steady(b, end)
	from = max(from, v.First+frames(v.Scoop.Span(), v.Rate))
	return (from + Segment - 1) &^ (Segment - 1), to &^ (Segment - 1)
}

// steady is the stretch of a breakpoint in which the strength does not move, though the
// pitch may; empty if there is none.
func (v *Tone) steady(b *Breakpoint, end int64) (from, to int64) {
	if v.Motion.Kind != Still {
		return end, end
	}
	start, fall := v.Envelope.Calm()
	from = max(v.First+frames(start, v.Rate), b.At+frames(b.Glide, v.Rate))
	return from, min(end, v.First+int64(fall*v.Rate))
}

// frames is how many frames cover so many seconds.
func frames(seconds, rate float64) int64 { return int64(seconds*rate) + 1 }
