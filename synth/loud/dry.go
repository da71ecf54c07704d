package loud

import (
	"slices"

	"reedlark/synth/dsp"
)

// dry is the bounds of the peaks before the room, at the fine entries. Only a
// few seconds are kept: what is complete is put into the room, the highest of
// each entry goes into the estimate, and what no reflection reaches back to is let
// go of.
type dry struct {
	around   *acoustics
	back     int       // how far the room reaches back
	end      int       // fine entries of the whole sound
	settled  int       // how many of them are in the estimate
	first    int       // the fine entry that peaks begins at
	peaks    []float32 // a bound between one fine entry and the next
	heard    []float32
	sum, one [reflected]float32
}

// reflected is how many fine entries are put into the room at a time.
const reflected = 1024

func newDry(around *acoustics, end int) dry {
	back := around.fine[len(around.fine)-1]
	return dry{around: around, back: back, end: end, heard: make([]float32, back+reflected)}
}

// addPeaks adds the amplitudes of something, given at the fine entries from first
// on, to the bounds; before and after them it is silent.
func (l *estimate) addPeaks(first int, amps []float64) {
	last := 0.0
	for i, a := range amps {
		l.dry.add(first+i-1, max(last, a))
		last = a
	}
	l.dry.add(first+len(amps)-1, last)
}

func (d *dry) add(i int, amp float64) {
	if i < 0 || i >= d.end {
		return
	}
	d.reach(i + 1)
	d.peaks[i-d.first] += float32(amp)
}

// reach lengthens the peaks up to fine entry end.
func (d *dry) reach(end int) {
	if more := end - d.first - len(d.peaks); more > 0 {
		d.peaks = append(d.peaks, make([]float32, more)...)
	}
}

// settleBefore says that nothing more will be added that begins before a frame.
func (l *estimate) settleBefore(frame int64) {
	before := min(l.peakEntry(frame)-1, l.dry.end)
	for l.dry.settled+reflected <= before {
		l.settle(l.dry.settled + reflected)
	}
}

// complete says that nothing more will be added.
func (l *estimate) complete() {
	for l.dry.settled < l.dry.end {
		l.settle(min(l.dry.settled+reflected, l.dry.end))
	}
}

// settle takes in the peaks up to a fine entry.
func (l *estimate) settle(end int) {
	d := &l.dry
	d.reach(end)
	from := d.settled
	for i, p := range d.resound(from, end) {
		entry := &l.peak[(from+i)/finer]
		*entry = max(*entry, p)
	}
	d.settled = end
	if past := end - d.back - 1 - d.first; past > 0 {
		d.peaks = slices.Delete(d.peaks, 0, past)
		d.first += past
	}
}

// resound is the peaks between two fine entries with the reflections of the room:
// those of the channel that they make the louder.
func (d *dry) resound(from, end int) []float32 {
	d.highs(from-d.back, end)
	sum := d.sum[:end-from]
	clear(sum)
	for _, amps := range d.around.sides {
		one := d.one[:end-from]
		clear(one)
		for k, delay := range d.around.fine[1:] {
			dsp.AddScaled(one, d.heard[d.back-delay:], float32(amps[k+1]))
		}
		for i, p := range one {
			sum[i] = max(sum[i], p)
		}
	}
	dsp.AddScaled(sum, d.peaks[from-d.first:], 1)
	return sum
}

// highs are the peaks from a fine entry up to another, each the higher of itself
// and the one before, since a delay falls between two.
func (d *dry) highs(from, end int) {
	for i := range d.heard[:end-from] {
		d.heard[i] = 0
		if k := from + i - d.first; k >= 0 {
			d.heard[i] = max(d.peaks[k], d.peaks[max(0, k-1)])
		}
	}
}
