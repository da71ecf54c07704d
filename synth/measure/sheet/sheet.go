// Package sheet draws a sound, so that a person can look at what they cannot
// hear: a spectrogram, the pitch over the pitch that was wanted, how far the one
// lies from the other, and the level and the colour, all on one axis of time, as an SVG.
//
// It measures the samples with [reedlark/synth/measure] and knows of the tune only what
// [Wanted] says. The ink is what was heard; the ochre band is what was wanted.
package sheet

import (
	"io"
	"math"

	"reedlark/synth/measure"
)

// Wanted is one voice as the score has it.
type Wanted struct {
	Start, Seconds float64 // seconds from the first sample
	Hz             float64 // where it settles
	FromHz         float64 // where it begins; 0 or Hz where nothing moves
	GlideSeconds   float64 // the time it takes from FromHz to Hz
	Text           string  // as typed; the same for all voices of a chord
	Shake          bool    // takes turns with the next voice that starts with it
}

// at is the wanted pitch at a time: S-shaped in cents.
func (n Wanted) at(seconds float64) float64 {
	if n.FromHz <= 0 || n.GlideSeconds <= 0 {
		return n.Hz
	}
	u := min(max((seconds-n.Start)/n.GlideSeconds, 0), 1)
	return n.FromHz * math.Pow(n.Hz/n.FromHz, u*u*(3-2*u))
}

// end is when it stops, seconds.
func (n Wanted) end() float64 { return n.Start + n.Seconds }

// The size of a sheet, in pixels: wide enough to see 4 ms, up to a limit.
const (
	pixelsPerSecond = 240.0
	leastWidth      = 900.0
	mostWidth       = 8000.0
	left, right     = 64.0, 20.0
	gap             = 30.0
)

// panel is a strip of the sheet with an axis of its own.
type panel struct {
	top, height float64
	lo, hi      float64 // the values at the bottom and the top
}

// y is where a value lies, kept inside the panel.
func (p panel) y(v float64) float64 {
	return p.top + p.height*(1-min(max((v-p.lo)/(p.hi-p.lo), 0), 1))
}

func (p panel) bottom() float64 { return p.top + p.height }

// page is one sheet while it is drawn.
type page struct {
	*canvas
	x       []float64
	rate    int
	wanted  []Wanted
	seconds float64
	scale   float64 // pixels a second
	tracks  []track
}

func (p *page) at(seconds float64) float64 { return left + seconds*p.scale }

// Sheet draws samples of one channel, from -1 to 1 at rate frames a second, over the
// notes that were wanted, which may be none. The error is w's.
func Sheet(w io.Writer, samples []float64, rate int, wanted []Wanted) error {
	seconds := max(float64(len(samples))/float64(rate), 0.01)
	width := min(max(seconds*pixelsPerSecond, leastWidth), mostWidth)
	p := &page{
		canvas: &canvas{}, x: samples, rate: rate, wanted: wanted,
		seconds: seconds, scale: width / seconds,
	}
	p.tracks = p.follow()

	colour := panel{top: 40, height: 250, lo: math.Log2(lowest), hi: math.Log2(highest)}
	pitch := p.pitchPanel(colour.bottom() + gap)
	off := panel{top: pitch.bottom() + gap, height: 110, lo: -50, hi: 50}
	level := panel{top: off.bottom() + gap, height: 130, lo: -70, hi: 0}
	timbre := panel{top: level.bottom() + gap, height: 110, lo: -30, hi: 0}
	bottom := timbre.bottom()

	p.open(left+width+right, bottom+54)
	p.names(bottom)
	p.drawSpectrogram(colour)
	p.drawPitch(pitch)
	p.drawOff(off)
	p.drawLevel(level)
	p.drawTimbre(timbre)
	p.clock(bottom)
	p.figures(bottom + 44)
	p.shut()
	return p.writeTo(w)
}

// names are the notes as typed, over a hairline where each starts; what finds room in
// neither of two rows is left out.
func (p *page) names(bottom float64) {
	rows := [2]float64{} // where each is free from
	for i, n := range p.wanted {
		if i > 0 && n.Start == p.wanted[i-1].Start {
			continue
		}
		x := p.at(n.Start)
		p.line(x, 30, x, bottom, hair)
		for row := range rows {
			if x >= rows[row] {
				p.text(x+2, 27-13*float64(row), "start", n.Text)
				rows[row] = x + 8*float64(len([]rune(n.Text))+1)
				break
			}
		}
	}
}

// clock marks the time under the last panel.
func (p *page) clock(bottom float64) {
	step := 0.1
	for step*p.scale < 60 {
		step *= 2
	}
	for i := 0; float64(i)*step <= p.seconds; i++ {
		x := p.at(float64(i) * step)
		p.line(x, bottom, x, bottom+4, axis)
		p.text(x, bottom+17, "middle", trim(float64(i)*step)+" s")
	}
}

// figures says in numbers what the eye cannot measure.
func (p *page) figures(y float64) {
	one := [][]float64{p.x}
	words := trim(p.seconds) + " s · loudness " + decibels(measure.Integrated(one, p.rate), "LUFS") +
		" · true peak " + decibels(measure.TruePeak(one), "dBTP") +
		" · DC " + decibels(measure.DB(math.Abs(measure.DC(p.x))), "dB")
	p.text(left, y, "start", words)
}
