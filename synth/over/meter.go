package over

import (
	"reedlark/synth/dsp"
	"reedlark/synth/loud"
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
	return loud.Integrated(m.powers)
}
