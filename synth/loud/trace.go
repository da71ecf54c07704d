package loud

import (
	"math"

	"reedlark/synth/reed"
)

// strength is the gains of the two waves of a part from a frame on.
type strength func(frame int64) reed.Strength

// trace reckons a strength at the fine entries from the one at or before frame
// from to the one after to; it is 0 outside the frames.
func (a *estimator) trace(from, to int64, at strength) {
	first := a.peakEntry(from)
	a.own = grow(a.own, a.peakEntry(to)-first+2)
	a.dark = grow(a.dark, len(a.own))
	s := reed.Strength{Until: from}
	since := from
	for i := range a.own {
		f := a.peakFrame(first + i)
		if f > to {
			s, since = reed.Strength{Until: f}, f
		} else if f >= s.Until {
			s, since = at(f), f
		}
		a.own[i] = s.Own + float64(s.OwnRise*float64(f-since))
		a.dark[i] = s.Dark + float64(s.DarkRise*float64(f-since))
	}
}

// add counts the peaks of a part whose waves have the given ones, and returns in
// out what its amplitudes are, as a meter weights it, at the entries from the one
// at or before frame from on.
func (a *estimator) add(out []float64, from, to int64, at strength, f *reed.Facts) []float64 {
	if a.brief(from, to) {
		return a.addBrief(out, from, to, at, f)
	}
	a.trace(from, to, at)
	first := a.peakEntry(from)
	a.fine = grow(a.fine, len(a.own))
	for i, own := range a.own {
		a.fine[i] = f.Peak(own, a.dark[i])
	}
	a.addPeaks(first, a.fine)
	entry := a.entry(from)
	out = grow(out, a.entry(to)-entry+2)
	for i := range out {
		out[i] = 0
		if k := finer*(entry+i) - first; k >= 0 && k < len(a.own) {
			out[i] = f.Weighted.Level(a.own[k], a.dark[k])
		}
	}
	return out
}

// brief parts, under a twenty-fifth of a second, come and go between the
// entries of the estimate: they are sampled and counted as a whole.
func (a *estimator) brief(from, to int64) bool { return (to-from)*25 < int64(a.rate) }

// briefest is how many entries of the peaks a part has to span to be looked at
// between its ends; aside is by how much a peak between two entries may pass both.
const (
	briefest = 4
	aside    = 1.1
)

// addBrief counts a brief part: all of its energy in one entry, and its peaks with
// a margin; of the briefest the highest throughout.
func (a *estimator) addBrief(out []float64, from, to int64, at strength, f *reed.Facts) []float64 {
	const points = 32
	peak := func(own, dark float64) float64 {
		return aside * f.Peak(own, dark)
	}
	high, energy := 0.0, 0.0
	for i := range int64(points) {
		s := at(from + (to-from)*i/points)
		high = max(high, peak(s.Own, s.Dark))
		v := f.Weighted.Level(s.Own, s.Dark)
		energy += float64(v * v)
	}
	energy *= float64(to-from) / points
	a.trace(from, to, at)
	a.fine = grow(a.fine, len(a.own))
	for i, own := range a.own {
		a.fine[i] = peak(own, a.dark[i])
		if (to-from)*peaksPerSecond < briefest*int64(a.rate) {
			a.fine[i] = high
		}
	}
	a.addPeaks(a.peakEntry(from), a.fine)
	return append(out[:0], math.Sqrt(energy*perSecond/float64(a.rate)), 0)
}

func grow(buf []float64, n int) []float64 {
	if cap(buf) < n {
		return make([]float64, n)
	}
	return buf[:n]
}
