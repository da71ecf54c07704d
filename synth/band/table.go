package band

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/reed"
)

// Kind is a kind of voice.
type Kind uint8

// The kinds.
const (
	Plucked Kind = iota
	Soft
	Comped // chords: as Soft, but brighter, and struck
)

// Timbre is all a table depends on.
type Timbre struct {
	Kind Kind
	Hz   float64
	Rate int // frames a second
}

// points is the length of a table, a power of two. A straight line between two
// points misses harmonic k by less than (k/points)²·5 of its amplitude.
const points = 2048

// shift brings a phase to a point of the table.
const shift = 32 - 11

// wave is one turn of a sound and its first point again.
type wave [points + 1]float32

// Table is the sound of one timbre.
type Table struct {
	own, edge         wave
	OwnPeak, EdgePeak float64     // true peaks
	Weighted          reed.Shares // the edge against the own wave, as a loudness meter weighs them
	Lines             []reed.Line // of the own wave, whose weighted power is 1
}

// The spectra. by ear, with the shape of their kind: the partials of a string
// plucked at a part of its length fall as 1/k² and miss every one that has a
// node there; ref: N. Fletcher & T. Rossing, The Physics of Musical
// Instruments, section 2.8 (from memory).
const (
	pluckedAt   = 0.21 // of the string's length
	softFall    = 1.9  // the soft tone's partials fall as 1/k^softFall
	compedFall  = 0.8  // so that small loudspeakers have them
	pluckedFall = 1.1  // instead of 2: a pick, and pickups near the bridge
	topPlucked  = 3200 // Hz, above it nothing sounds
	topSoft     = 4000
	mostPlucked = 32 // partials
	mostSoft    = 14
	mostComped  = 24
	edgeFrom    = 2 // the first partial the edge has
)

// Build makes the table of a timbre.
func Build(t Timbre) *Table {
	tab := &Table{Lines: t.lines()}
	own, edge, sine := make([]float64, points), make([]float64, points), sines()
	for i, l := range tab.Lines {
		k := i + 1
		add(own, sine, l.Amplitude, k)
		part := t.edge(k)
		if part > 0 {
			add(edge, sine, float64(l.Amplitude*part), k)
		}
		tab.Weighted.Common += float64(part * l.Power())
		tab.Weighted.Dark += float64(part * part * l.Power())
	}
	tab.OwnPeak, tab.EdgePeak = tab.own.fill(own, len(tab.Lines)), tab.edge.fill(edge, len(tab.Lines))
	return tab
}

// fill rounds a turn into the wave and returns its true peak.
func (w *wave) fill(turn []float64, partials int) float64 {
	for i, x := range turn {
		w[i] = float32(x)
	}
	w[points] = w[0]
	return dsp.TruePeak(w[:points], partials)
}

// crest spreads the phases of the partials, crest·k² radians, so that their
// peaks do not meet. ref: as in synth/reed.
const crest = 1.2

// start is what all phases have besides, turns: by trial, so that strings that
// are struck in the middle of a wave push the air neither way for long.
const start = 0.891

// place is the point of the table harmonic k starts at.
func place(k int) int {
	turns := float64(crest*float64(k*k)/(2*math.Pi)) + start
	return int(float64(turns*points)+0.5) % points
}

// Turns is where harmonic k stands when the fundamental's phase is 0, in turns.
func Turns(k int) float64 { return float64(place(k)) / points }

// sines is one turn of a sine.
func sines() []float64 {
	out := make([]float64, points)
	for i := range out {
		out[i] = dsp.Sin(float64(i) / points)
	}
	return out
}

// add adds harmonic k to a turn.
func add(turn, sine []float64, amp float64, k int) {
	at := place(k)
	for i := range turn {
		turn[i] += float64(amp * sine[at%points])
		at += k
	}
}

// lines are the partials of the own wave, scaled so that a loudness meter hears
// it at power 1.
func (t Timbre) lines() []reed.Line {
	weighting := dsp.NewWeighting(float64(t.Rate))
	out := make([]reed.Line, t.partials())
	power := 0.0
	for i := range out {
		hz := float64(t.Hz * float64(i+1))
		out[i] = reed.Line{Hz: hz, Amplitude: t.level(i + 1), Weight: weighting.Power(hz / float64(t.Rate))}
		power += out[i].Power()
	}
	for i := range out {
		out[i].Amplitude /= math.Sqrt(power)
	}
	return out
}

// partials is how many harmonics a timbre has.
func (t Timbre) partials() int {
	top, most := float64(topPlucked), mostPlucked
	switch t.Kind {
	case Soft:
		top, most = topSoft, mostSoft
	case Comped:
		top, most = topSoft, mostComped
	}
	top = min(top, reed.TopOfRate*float64(t.Rate))
	return int(min(max(math.Floor(top/t.Hz), 1), float64(most)))
}

// level is the amplitude of a partial before scaling.
func (t Timbre) level(k int) float64 {
	falls := func(by float64) float64 { return dsp.Exp2(-by * dsp.Log2(float64(k))) }
	switch t.Kind {
	case Soft:
		return falls(softFall)
	case Comped:
		return falls(compedFall)
	}
	return math.Abs(dsp.Sin(pluckedAt*float64(k)/2)) * falls(pluckedFall)
}

// edge is how much of a partial the edge adds, in parts of the own wave's.
func (t Timbre) edge(k int) float64 {
	if t.Kind != Plucked || k < edgeFrom {
		return 0
	}
	return min(float64(k)/2, 4)
}
