package reed

import (
	"math"

	"reedlark/synth/dsp"
)

// Points is the length of a table: 4096 for one turn. A straight line between
// two of them misses harmonic k by less than (k/Points)²·5 of its amplitude.
const Points = 4096

// Wave is one turn of a sound and its first point again.
type Wave [Points + 1]float32

// Table is the sound of one timbre.
type Table struct {
	Own  Wave // as it sounds once it has spoken
	Dark Wave // as it starts
	Facts
}

// Facts is what is known of a table without playing it.
type Facts struct {
	OwnPeak, DarkPeak float64 // true peaks
	EdgePeak          float64 // of the own wave less the dark one
	Power             float64 // of the own wave, unweighted; weighted it is 1
	Weighted, Plain   Shares  // as a loudness meter weighs them, and as they are
}

// Peak is a bound of the true peak of a mixture of the two waves; the dark one
// may be taken away.
func (f *Facts) Peak(own, dark float64) float64 {
	if dark < 0 {
		return float64((own+dark)*f.OwnPeak) - float64(dark*f.EdgePeak)
	}
	return float64(own*f.OwnPeak) + float64(dark*f.DarkPeak)
}

// Shares are the power of the dark wave and what it has in common with the
// own wave, whose power is 1.
type Shares struct{ Common, Dark float64 }

// Level is the amplitude of a mixture of the two waves; the own one is 1.
func (s Shares) Level(own, dark float64) float64 {
	return math.Sqrt(float64(own*own) + float64(2*own*dark*s.Common) + float64(dark*dark*s.Dark))
}

// Dark waves keep the partials up to fullTo and weaken the others by shade.
// ref: the upper partials of recorded reeds start 10 to 14 dB under where
// they settle.
const (
	fullTo = 3
	shade  = 0.25
)

// crest spreads the phases of the partials, crest·k² radians, so that their
// peaks do not meet. ref: M. R. Schroeder, "Synthesis of low-peak-factor
// signals", IEEE Trans. Information Theory 16, 1970; the value by trial
// over all reeds, 2 dB under most others.
const crest = 1.2

// PhaseOf is the phase harmonic k starts with, in points of a table.
func PhaseOf(k int) int {
	return int(float64(crest*float64(k*k)/(2*math.Pi)*Points)+0.5) % Points
}

// turn is a wave in the making: it is added up in float64.
type turn [Points]float64

// build makes the table of a timbre. sine is one turn of a sine.
func build(t Timbre, sine *turn) *Table {
	var low, all turn
	lines := t.Lines()
	for i, l := range lines {
		all.add(sine, l.Amplitude, i+1)
		if i+1 == min(fullTo, len(lines)) {
			low = all
		}
	}
	tab := &Table{Facts: weigh(lines)}
	for i := range all {
		tab.Own[i] = float32(all[i])
		tab.Dark[i] = float32(float64(shade*all[i]) + float64((1-shade)*low[i]))
	}
	tab.Own[Points], tab.Dark[Points] = tab.Own[0], tab.Dark[0]
	tab.OwnPeak = dsp.TruePeak(tab.Own[:Points], len(lines))
	tab.DarkPeak = dsp.TruePeak(tab.Dark[:Points], len(lines))
	tab.EdgePeak = edgePeak(tab, len(lines))
	return tab
}

// edgePeak is the true peak of the own wave less the dark one.
func edgePeak(tab *Table, top int) float64 {
	edge := make([]float32, Points)
	for i := range edge {
		edge[i] = tab.Own[i] - tab.Dark[i]
	}
	return dsp.TruePeak(edge, top)
}

// add adds harmonic k.
func (t *turn) add(sine *turn, amp float64, k int) {
	at := PhaseOf(k)
	for i := range t {
		t[i] += float64(amp * sine[at&(Points-1)])
		at += k
	}
}

func weigh(lines []Line) Facts {
	var f Facts
	for i, l := range lines {
		part := 1.0
		if i+1 > fullTo {
			part = shade
		}
		power := float64(l.Amplitude * l.Amplitude / 2)
		f.Power += power
		f.Plain.add(power, part)
		f.Weighted.add(l.Power(), part)
	}
	f.Plain.Common /= f.Power
	f.Plain.Dark /= f.Power
	return f
}

// add counts a partial that the dark wave has by the given part.
func (s *Shares) add(power, part float64) {
	s.Common += float64(part * power)
	s.Dark += float64(part * part * power)
}
