package over

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/level"
)

// meter measures loudness as it goes by. ref: ITU-R BS.1770-4, annex 1.
type meter struct {
	filters []*dsp.Filter // one a channel
	step    int           // frames of 100 ms
	frames  int           // in the step so far
	sum     float64
	powers  []float64 // of each step
}

func newMeter(rate, channels int) *meter {
	m := &meter{step: max(1, rate/10)}
	for range channels {
		m.filters = append(m.filters, dsp.NewWeighting(float64(rate)).Filter())
	}
	return m
}

func (m *meter) add(x []float64) {
	for i := 0; i < len(x); i += len(m.filters) {
		for k, f := range m.filters {
			y := f.Next(x[i+k])
			m.sum += float64(y * y)
		}
		if m.frames++; m.frames == m.step {
			m.close()
		}
	}
}

func (m *meter) close() {
	m.powers = append(m.powers, m.sum/float64(m.step))
	m.frames, m.sum = 0, 0
}

// loudness is that of all so far, LUFS; -200 for silence. A beginning of a
// tenth of a second counts where there is nothing else.
func (m *meter) loudness() float64 {
	if len(m.powers) == 0 {
		m.close()
	}
	return level.Integrated(m.powers)
}

// The true peak is looked for at so many places from sample to sample, through
// so many samples on each side. Up to 0.45 of the rate a sine can hide 0.14 dB
// from that. ref: ITU-R BS.1770-4, annex 2, attachment 1, which asks for four places.
const (
	places = 8
	around = 24
)

// peak measures the true peak as it goes by.
type peak struct {
	channels [][]float64 // samples not yet looked between, and those around them
	taps     [places - 1][]float64
	high     float64
}

func newPeak(channels int) *peak {
	p := &peak{channels: make([][]float64, channels)}
	for k := range p.channels {
		p.channels[k] = make([]float64, around-1) // silence before
	}
	for i := range p.taps {
		p.taps[i] = interpolator(float64(i+1) / places)
	}
	return p
}

// interpolator is a sinc under a raised cosine for a place after a sample.
func interpolator(place float64) []float64 {
	taps := make([]float64, 2*around)
	for i := range taps {
		t := float64(i-around+1) - place
		taps[i] = dsp.Sin(t/2) / float64(math.Pi*t) * (0.5 + float64(0.5*dsp.Cos(t/around/2)))
	}
	return taps
}

func (p *peak) add(x []float64) {
	n := len(p.channels)
	for k := range p.channels {
		c := p.channels[k]
		for i := k; i < len(x); i += n {
			c = append(c, x[i])
		}
		p.channels[k] = p.look(c)
	}
}

// look looks between all samples that have enough around them, and keeps the rest.
func (p *peak) look(c []float64) []float64 {
	i := 0
	for ; i+2*around <= len(c); i++ {
		here := max(math.Abs(c[i+around-1]), math.Abs(c[i+around]))
		p.high = max(p.high, here)
		if here > p.high/2 { // a peak has a large sample beside it
			p.between(c[i : i+2*around])
		}
	}
	return c[:copy(c, c[i:])]
}

func (p *peak) between(c []float64) {
	for _, taps := range p.taps {
		sum := 0.0
		for i, t := range taps {
			sum += float64(t * c[i])
		}
		p.high = max(p.high, math.Abs(sum))
	}
}

// highest is the true peak of all that went by.
func (p *peak) highest() float64 {
	p.add(make([]float64, 2*around*len(p.channels))) // silence after
	return p.high
}
