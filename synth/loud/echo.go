package loud

import (
	"math"
	"slices"

	"reedlark/synth/dsp"
	"reedlark/synth/reed"
	"reedlark/synth/room"
)

// acoustics is a room as the estimate sees it: how the power of a line depends
// on which of its reflections sound together.
type acoustics struct {
	pairs []pair
	ways  []way
	fine  []int       // the delays of the taps, in entries of the peaks
	sides [][]float64 // how loud each tap is at most, in one channel or on the left and on the right
}

// pair is two taps the sound comes through, and what their product counts for.
type pair struct {
	way    int     // the one that the estimate cannot tell it from
	lag    float64 // seconds between the two
	weight float64
}

// way is the delays of two taps in entries: the later, and by how much.
type way struct{ delay, apart int }

// newAcoustics is the view of a room at a rate, for one channel or two.
func newAcoustics(r room.Room, rate, channels int) *acoustics {
	a := &acoustics{sides: make([][]float64, channels)}
	entry := func(t room.Tap) int { return (t.Delay*perSecond + rate/2) / rate }
	for k, t := range r.Taps {
		a.fine = append(a.fine, t.Delay*peaksPerSecond/rate)
		for i, side := range []float32{t.Side, -t.Side}[:channels] {
			a.sides[i] = append(a.sides[i], abs(t.Mid+side))
		}
		for l, u := range r.Taps[k:] {
			w := float64(float64(t.Mid)*float64(u.Mid)) + float64(float64(t.Side)*float64(u.Side))
			if l > 0 {
				w *= 2
			}
			lag := float64(u.Delay-t.Delay) / float64(rate)
			a.pairs = append(a.pairs, pair{a.way(k, entry(u)), lag, w * float64(channels)})
		}
	}
	return a
}

// way is the number of the way that two taps make, of which the first is tap k. Two
// reflections count for next to nothing beside what each makes with the direct
// sound, so they are taken to end together, with the later: a third of the ways.
func (a *acoustics) way(k, later int) int {
	w := way{delay: later}
	if k == 0 {
		w.apart = later
	}
	i := slices.Index(a.ways, w)
	if i < 0 {
		i = len(a.ways)
		a.ways = append(a.ways, w)
	}
	return i
}

func abs(x float32) float64 {
	if x < 0 {
		return -float64(x)
	}
	return float64(x)
}

// echo is what each way adds to the power of a sound of amplitude 1.
type echo []float64

// echoOf is that of a tone made of the given harmonics, whose powers sum to 1.
func (a *acoustics) echoOf(lines []reed.Line) echo { return a.swayingEcho(lines, 0, 1) }

// swings is at how many places of a swing a sound that sways is looked at.
const swings = 8

// swayingEcho is the echo of a tone whose pitch sways, in the mean over a cycle: down by
// twice a depth, as a part of its pitch, and up again, so often a second.
//
// The phase between a tone and itself so long before is what its pitch has gone
// through meanwhile: of f(1-d+d·cos2πvt) over a lag T, f(1-d)T and, as cosine, at
// most f·d·sin(πvT)/πv turns.
func (a *acoustics) swayingEcho(lines []reed.Line, depth, hz float64) echo {
	powers := powersOf(lines)
	out := make(echo, len(a.ways))
	for _, p := range a.pairs {
		mean := lines[0].Hz * (1 - depth) * p.lag
		most := lines[0].Hz * depth * dsp.Sin(hz*p.lag/2) / (math.Pi * hz)
		out[p.way] += float64(p.weight * swaying(powers, mean, most))
	}
	return out
}

func powersOf(lines []reed.Line) []float64 {
	out := make([]float64, len(lines))
	for i, l := range lines {
		out[i] = l.Power()
	}
	return out
}

// swaying is the mean autocorrelation of a tone that is so many turns later, and up to so
// many more or less.
func swaying(powers []float64, mean, most float64) float64 {
	if most == 0 {
		return autocorrelation(powers, mean)
	}
	sum := 0.0
	for i := range swings {
		sum += autocorrelation(powers, mean+float64(most*dsp.Cos((float64(i)+0.5)/(2*swings))))
	}
	return sum / swings
}

// autocorrelation is how much a tone is like itself, between 1 and -1, so many turns
// of its fundamental later. cos(k+1)θ = 2·cosθ·coskθ - cos(k-1)θ.
func autocorrelation(powers []float64, turns float64) float64 {
	twice := 2 * dsp.Cos(turns)
	before, now, sum := 1.0, twice/2, 0.0
	for _, p := range powers {
		sum += float64(p * now)
		before, now = now, float64(twice*now)-before
	}
	return sum
}

// noiseEcho is the echo of a sound without lines: reflections add as powers.
func (a *acoustics) noiseEcho() echo {
	out := make(echo, len(a.ways))
	for _, p := range a.pairs {
		if p.lag == 0 {
			out[p.way] += p.weight
		}
	}
	return out
}

// steadyPower is what a single line's power grows by when all reflections sound.
func (a *acoustics) steadyPower(hz float64) float64 {
	sum := 0.0
	for _, p := range a.pairs {
		sum += float64(p.weight * dsp.Cos(hz*p.lag))
	}
	return sum
}

// onset is what becomes of the direct sound's autocorrelation to its reflections while the
// pitch of a tone comes up: an echo for each of the first entries of a reflection.
type onset []echo

// onsetEntries is how long that is looked at.
const onsetEntries = 6

// onsetOf is that of a tone which begins flat, by a depth that is a part of its pitch, and
// comes up by e in so many seconds; nil where nothing is reflected.
//
// With a depth d and a time constant C, the phase between the tone and its
// reflection after a lag T is fT less fdC(1-exp(-T/C))exp(-u/C) turns, u seconds after
// the reflection has begun.
func (a *acoustics) onsetOf(lines []reed.Line, depth, tau float64) onset {
	if len(a.ways) == 1 {
		return nil
	}
	powers := powersOf(lines)
	out := make(onset, onsetEntries)
	for j := range out {
		out[j] = make(echo, len(a.ways))
		left := lines[0].Hz * depth * tau * dsp.Exp(-max(0, float64(j)-0.5)/perSecond/tau)
		for _, p := range a.pairs {
			if a.ways[p.way].apart > 0 {
				turns := float64(lines[0].Hz*p.lag) - float64(left*dsp.Rise(p.lag/tau))
				out[j][p.way] += float64(p.weight * autocorrelation(powers, turns))
			}
		}
	}
	return out
}

// addTone adds the power of a sound whose amplitudes are given at the entries
// from first on, and that begins with an onset; nil for none.
func (l *estimate) addTone(a *acoustics, echo echo, onset onset, first int, amps []float64) {
	for n, w := range a.ways {
		begun := 0
		if w.apart > 0 {
			begun = max(min(len(onset), len(amps)-w.apart), 0)
		}
		for j := range begun {
			l.addPower(first+w.delay+j, onset[j][n]*amps[j+w.apart]*amps[j])
		}
		if echo[n] != 0 {
			l.addProducts(first+w.delay+begun, echo[n], amps[min(w.apart+begun, len(amps)):], amps[begun:])
		}
	}
}

// addProducts adds a power times the products of two amplitudes at the entries
// from at on, as far as the sound and both reach.
func (l *estimate) addProducts(at int, power float64, x, y []float64) {
	n := max(min(len(x), len(y), len(l.power)-at), 0)
	if n == 0 {
		return
	}
	x, y = x[:n], y[:n]
	sum := l.power[at:][:n]
	for i := range sum {
		sum[i] += float32(power * x[i] * y[i])
	}
}
