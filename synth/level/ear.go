package level

import "reedlark/synth/dsp"

// Loud is the stretches in which the bounds would hold a sound of the wanted
// loudness in LUFS down; none where its peaks leave room.
//
// Voices and reflections hardly ever peak all at once, but no sum of bounds can
// know that: in a large room they lie up to 6 dB over the truth. So there, and only
// there, it pays to listen.
func (l *Ledger) Loud(wanted float64) (out []Stretch) {
	base, limit := dsp.Gain(wanted-l.Loudness(unity)), dsp.Gain(MaxPeakDB)
	if l.Silent() || l.Highest()*base <= limit {
		return nil
	}
	floor := limit / (base * mostMore)
	for i, p := range l.peak {
		switch last := len(out) - 1; {
		case float64(p) <= floor:
		case last < 0 || i-out[last].to > apart:
			out = append(out, Stretch{l, i, i + 1, floor})
		default:
			out[last].to = i + 1
		}
	}
	return out
}

// apart is how many quiet entries part two stretches: to begin costs as much as
// to go on for the length of the room.
const apart = PerSecond / 4

// Stretch is entries of a ledger that are to be heard.
type Stretch struct {
	ledger   *Ledger
	from, to int
	floor    float64 // peaks under it do not matter
}

// Frames is what has to be rendered for it of a sound of so many: an entry more at
// both ends.
func (s Stretch) Frames(all int64) (from, to int64) {
	return s.ledger.Frame(max(0, s.from-1)), min(s.ledger.Frame(s.to+1), all)
}

// Forget takes the bounds of the stretch away, but for the last entries of the sound,
// which no other follows that would be heard to its end.
func (s Stretch) Forget() {
	heard := max(min(s.to, len(s.ledger.peak)-3), 0)
	clear(s.ledger.peak[min(s.from, heard):heard])
}

// How closely an ear listens, and by how much, times, it takes a peak to be higher
// than it heard. by trial: of 336 tunes none peaked higher than that by a meter that
// looks at eight places through twice as many samples.
const (
	places = 4
	around = 12
	missed = 1.01
)

// Ear takes in the samples of a stretch. Where their true peaks are higher than what
// the ledger has, it writes them down.
type Ear struct {
	stretch  Stretch
	channels int
	scale    float64
	meter    *dsp.PeakMeter
	entry    int     // that is being heard
	left     int     // how many of its samples are to come, of all channels
	before   float64 // the peak of the entry before
	samples  []float64
}

// Ear hears so many channels, of which 1 in the ledger is so much in samples.
func (s Stretch) Ear(channels int, full float64) *Ear {
	e := &Ear{
		stretch: s, channels: channels, scale: 1 / full,
		meter: dsp.NewPeakMeter(channels, places, around), entry: max(0, s.from-1),
	}
	e.left = e.length()
	return e
}

func (e *Ear) length() int {
	l := e.stretch.ledger
	return int(l.Frame(e.entry+1)-l.Frame(e.entry)) * e.channels
}

// Hear takes in the next samples.
func (e *Ear) Hear(block []int32) {
	for len(block) > 0 {
		n := min(e.left, len(block))
		e.samples = e.samples[:0]
		for _, v := range block[:n] {
			e.samples = append(e.samples, float64(v)*e.scale)
		}
		e.meter.Add(e.samples)
		if block, e.left = block[n:], e.left-n; e.left == 0 {
			e.close()
		}
	}
}

// close writes down the entry before the one that has been heard, whose last samples
// the meter looks at with it.
func (e *Ear) close() {
	s := e.stretch
	high := e.meter.High * missed
	if i := e.entry - 1; i >= s.from && i < s.to {
		s.ledger.peak[i] = max(s.ledger.peak[i], float32(max(e.before, high)))
	}
	e.before, e.meter.High = high, s.floor
	e.entry++
	e.left = e.length()
}
