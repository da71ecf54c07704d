package dsp

import "math"

// PeakMeter measures the true peak of sound as it goes by: between its samples too.
// ref: ITU-R BS.1770-4, annex 2.
type PeakMeter struct {
	// High is the highest so far, or since it was last set. What lies under half of
	// it is not looked at closely.
	High     float64
	channels [][]float64 // samples not yet looked between, and those around them
	taps     [][]float64
	around   int
}

// NewPeakMeter looks at so many places from one sample to the next, through so
// many samples on each side.
// ref: BS.1770-4, annex 2, attachment 1, asks for four places; at eight, up to 0.45
// of the rate, a sine can hide 0.14 dB.
func NewPeakMeter(channels, places, around int) *PeakMeter {
	p := &PeakMeter{channels: make([][]float64, channels), around: around}
	for k := range p.channels {
		p.channels[k] = make([]float64, around-1) // silence before
	}
	for i := 1; i < places; i++ {
		p.taps = append(p.taps, interpolator(float64(i)/float64(places), around))
	}
	return p
}

// interpolator is a sinc under a raised cosine for a place after a sample.
func interpolator(place float64, around int) []float64 {
	taps := make([]float64, 2*around)
	for i := range taps {
		t := float64(i-around+1) - place
		taps[i] = Sin(t/2) / float64(math.Pi*t) * (0.5 + float64(0.5*Cos(t/float64(around)/2)))
	}
	return taps
}

// Add listens to samples, channels interleaved. It looks between those that have
// enough others around them, so it is behind by as many as it looks through.
func (p *PeakMeter) Add(x []float64) {
	for k := range p.channels {
		c := p.channels[k]
		for i := k; i < len(x); i += len(p.channels) {
			c = append(c, x[i])
		}
		p.channels[k] = p.look(c)
	}
}

// End is the true peak of all that went by, with silence after it.
func (p *PeakMeter) End() float64 {
	p.Add(make([]float64, 2*p.around*len(p.channels)))
	return p.High
}

// look looks between all samples that have enough around them, and keeps the rest.
func (p *PeakMeter) look(c []float64) []float64 {
	i := 0
	for ; i+2*p.around <= len(c); i++ {
		a, b := c[i+p.around-1], c[i+p.around]
		here := max(math.Abs(a), math.Abs(b))
		p.High = max(p.High, here)
		if here > p.High/2 { // a peak has a large sample beside it
			p.between(c[i : i+2*p.around])
		}
	}
	return c[:copy(c, c[i:])]
}

func (p *PeakMeter) between(c []float64) {
	for _, taps := range p.taps {
		sum := 0.0
		for i, t := range taps {
			sum += float64(t * c[i])
		}
		p.High = max(p.High, math.Abs(sum))
	}
}
