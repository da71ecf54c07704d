package loud

import "reedlark/synth/dsp"

// loud is the stretches in which the bounds would hold a sound of the wanted
// loudness in LUFS down; none where its peaks leave room.
//
// Voices and reflections hardly ever peak all at once, but no sum of bounds can
// know that: in a large room they lie up to 6 dB over the truth. So there, and only
// there, it pays to listen.
func (l *estimate) loud(wanted float64) (out []stretch) {
	base, limit := dsp.Gain(wanted-l.loudness(unity)), dsp.Gain(MaxPeakDB)
	if l.silent() || l.highest()*base <= limit {
		return nil
	}
	floor := limit / (base * mostMore)
	for i, p := range l.peak {
		switch last := len(out) - 1; {
		case float64(p) <= floor:
		case last < 0 || i-out[last].to > apart:
			out = append(out, stretch{l, i, i + 1, floor})
		default:
			out[last].to = i + 1
		}
	}
	return out
}

// apart is how many quiet entries part two stretches: to begin costs as much as
// to go on for the length of the room.
const apart = perSecond / 4

// stretch is entries of an estimate that are to be heard.
type stretch struct {
	estimate *estimate
	from, to int
	floor    float64 // peaks under it do not matter
}

// frames is what has to be rendered for it of a sound of so many: an entry more at
// both ends.
func (s stretch) frames(all int64) (from, to int64) {
	return s.estimate.frame(max(0, s.from-1)), min(s.estimate.frame(s.to+1), all)
}

// forget takes the bounds of the stretch away, but for the last entries of the sound,
// which no other follows that would be heard to its end.
func (s stretch) forget() {
	heard := max(min(s.to, len(s.estimate.peak)-3), 0)
	clear(s.estimate.peak[min(s.from, heard):heard])
}

// How closely the meter looks, and by what factor it takes a peak to be higher
// than it measured. by trial: of 336 tunes none peaked higher than that by a meter that
// looks at eight places through twice as many samples.
const (
	places = 4
	around = 12
	missed = 1.01
	// missedNoise is that where drums sound, whose noise peaks more between samples.
	missedNoise = 1.06
)

// peakMeter takes in the samples of a stretch. Where their true peaks are higher than what
// the estimate has, it writes them down.
type peakMeter struct {
	stretch  stretch
	channels int
	scale    float64
	missed   float64
	meter    *dsp.PeakMeter
	entry    int     // that is being heard
	left     int     // how many of its samples are to come, of all channels
	before   float64 // the peak of the entry before
	samples  []float64
}

// peakMeter measures so many channels, of which 1 in the estimate is so much in samples.
func (s stretch) peakMeter(channels int, full float64) *peakMeter {
	e := &peakMeter{
		stretch: s, channels: channels, scale: 1 / full, missed: missed,
		meter: dsp.NewPeakMeter(channels, places, around), entry: max(0, s.from-1),
	}
	e.left = e.length()
	return e
}

func (e *peakMeter) length() int {
	l := e.stretch.estimate
	return int(l.frame(e.entry+1)-l.frame(e.entry)) * e.channels
}

// add measures the next samples.
func (e *peakMeter) add(block []int32) error {
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
	return nil
}

// close writes down the entry before the one that has been heard, whose last samples
// the meter looks at with it.
func (e *peakMeter) close() {
	s := e.stretch
	high := e.meter.High * e.missed
	if i := e.entry - 1; i >= s.from && i < s.to {
		s.estimate.peak[i] = max(s.estimate.peak[i], float32(max(e.before, high)))
	}
	e.before, e.meter.High = high, s.floor
	e.entry++
	e.left = e.length()
}
