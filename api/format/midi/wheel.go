package midi

import (
	"math"

	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"reedlark/tab/score"
)

// usualReach is how many semitones a wheel reaches where nothing was said.
// ref: General MIDI System Level 1.
const usualReach = 2

// centre is half the travel of the wheel.
const centre = 8192

// reach is how far the wheel must reach, in whole semitones.
func reach(notes []score.Note) int {
	far := float64(usualReach)
	for i := range notes {
		for _, v := range notes[i].Voices {
			far = max(far, math.Abs(bend(v.Midi, v.Hz)), math.Abs(bend(v.Midi, v.FromHz)))
			if notes[i].Role == score.Slide { // the key may be that of the note it began on
				far = max(far, math.Abs(12*math.Log2(v.Hz/v.FromHz))+1)
			}
		}
	}
	return int(math.Ceil(far))
}

// bend is how far a pitch lies over a key in equal temperament at A4 = 440 Hz,
// semitones.
func bend(key int, hz float64) float64 { return 12*math.Log2(hz/440) + 69 - float64(key) }

// Controllers. ref: MIDI 1.0 Detailed Specification, table III, and registered
// parameter 0, pitch bend sensitivity.
const (
	modulation   = 1
	dataEntry    = 6
	expression   = 11
	dataEntryLSB = 38
	rpnLSB       = 100
	rpnMSB       = 101
	nullRPN      = 127
)

// wheelRange are the controllers that set how far a wheel reaches; none where
// the usual reach does.
func wheelRange(semitones int) [][2]uint8 {
	if semitones <= usualReach {
		return nil
	}
	return [][2]uint8{
		{rpnMSB, 0},
		{rpnLSB, 0},
		{dataEntry, uint8(semitones)},
		{dataEntryLSB, 0},
		{rpnMSB, nullRPN},
		{rpnLSB, nullRPN},
	}
}

// turn moves the wheel of a held note to a pitch, where it is not there yet.
func (p *player) turn(h held, at int64, hz float64) {
	value := int16(math.Round(min(max(bend(int(h.key), hz)/float64(p.reach), -1), 1) * centre))
	value = min(value, centre-1)
	if value != p.wheel[h.channel] {
		p.wheel[h.channel] = value
		p.add(at, control, smf.Message(gomidi.Pitchbend(h.channel, value)))
	}
}

// step is the time between two moves of a wheel, seconds: finer than an ear
// can tell, coarse enough for an old cable.
const step = 0.005

// glide moves the wheel as the pitch of a voice moves.
func (p *player) glide(h held, n *score.Note, v *score.Voice) {
	if v.FromHz == v.Hz {
		return
	}
	for k, steps := 1.0, math.Ceil(v.GlideSeconds/step); k < steps; k++ {
		hz := v.FromHz * math.Pow(v.Hz/v.FromHz, smooth(k/steps))
		p.turn(h, p.tick(n.Start+v.GlideSeconds*k/steps), hz)
	}
	p.turn(h, p.tick(n.Start+v.GlideSeconds), v.Hz)
}

// smooth is the S-shaped way of a pitch from 0 to 1.
func smooth(x float64) float64 { return x * x * (3 - 2*x) }

// fade lets a note die away to nothing.
func (p *player) fade(h held, n *score.Note) {
	for k, steps := 1.0, math.Ceil(n.Seconds/step); k <= steps; k++ {
		p.set(h.channel, expression, p.tick(n.Start+n.Seconds*k/steps), uint8(127*(1-smooth(k/steps))))
	}
}

// How a shake goes. ref: common practice, no source.
const (
	shakeHz      = 6.0 // there and back, so twelve notes a second
	vibratoWait  = 0.2 // seconds straight
	vibratoDepth = 64  // of the modulation wheel
)

// shake lets the voices of a note take turns, or one tremble.
func (p *player) shake(n *score.Note, end int64) {
	if !n.Shake {
		return
	}
	if len(n.Voices) == 1 {
		p.set(channels[0], modulation, min(p.tick(n.Start+min(vibratoWait, n.Seconds/4)), end), vibratoDepth)
		return
	}
	for k := 0; ; k++ {
		at := p.tick(n.Start + float64(k)/(2*shakeHz))
		if at >= end {
			return
		}
		for i := range n.Voices[:min(len(n.Voices), 2)] {
			level := uint8(127)
			if k%2 != i {
				level = 0
			}
			p.set(channels[i], expression, at, level)
		}
	}
}

// set moves a controller away from where it began.
func (p *player) set(channel, controller uint8, at int64, value uint8) {
	p.turned[channel] = true
	p.add(at, control, smf.Message(gomidi.ControlChange(channel, controller, value)))
}

// reset brings level and modulation back to where they began.
func (p *player) reset(channel uint8, at int64) {
	if !p.turned[channel] {
		return
	}
	p.turned[channel] = false
	p.add(at, control, smf.Message(gomidi.ControlChange(channel, expression, 127)))
	p.add(at, control, smf.Message(gomidi.ControlChange(channel, modulation, 0)))
}
