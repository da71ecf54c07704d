// Package loud knows how loud a sound will be before it is rendered.
//
// An additive synthesizer knows its spectrum, so there is no need to measure
// samples. [Estimate] goes through the sources of a [Plan] and adds up, from
// their gains alone, two curves: the power a loudness meter would read, a
// hundred times a second, and a bound of the true peak, four times as often,
// because one note hands over to the next in a hundredth of a second. From the
// power it computes the loudness as a meter does, in blocks of 400 ms with two
// gates, and from that the gain. Where the bound says that peaks would be too
// high, those stretches are rendered and measured (listen) before any peak is
// held down.
//
// The way through the package: plan (what is estimated), account (sources to
// powers and peaks), trace (a part's gains over time), echo and dry (the room),
// beats (lines that nearly coincide), loudness, peaks and listen, gain.
//
// ref: Recommendations ITU-R BS.1770-4 (loudness, true peak) and EBU R 128.
package loud

// The curves have perSecond entries of power a second and finer times as many
// of the peak.
const (
	perSecond      = 100
	peaksPerSecond = finer * perSecond
	finer          = 4
)

// estimate is the power and the peak of a sound over time.
type estimate struct {
	rate  int
	power []float32 // at entry i, as weighted by a meter, summed over channels
	peak  []float32 // a bound between entries i and i+1
	bins  int       // whole 100 ms in the sound
	dry   dry
}

// newEstimate is empty, for a sound of so many frames in a room.
func newEstimate(frames int64, rate int, around *acoustics) *estimate {
	n := int(frames*perSecond/int64(rate)) + 2
	return &estimate{
		rate:  rate,
		power: make([]float32, n),
		peak:  make([]float32, n),
		bins:  int(frames / int64(rate/10)),
		dry:   newDry(around, finer*n),
	}
}

// frame is the frame of entry i.
func (l *estimate) frame(i int) int64 { return int64(i) * int64(l.rate) / perSecond }

// entry is the last entry at or before a frame.
func (l *estimate) entry(frame int64) int { return int(frame * perSecond / int64(l.rate)) }

// addPower adds a power to entry i, if the sound reaches so far.
func (l *estimate) addPower(i int, power float64) {
	if i >= 0 && i < len(l.power) {
		l.power[i] += float32(power)
	}
}

// peakFrame is the frame of entry i of the peaks.
func (l *estimate) peakFrame(i int) int64 { return int64(i) * int64(l.rate) / peaksPerSecond }

// peakEntry is the last entry of the peaks at or before a frame.
func (l *estimate) peakEntry(frame int64) int { return int(frame * peaksPerSecond / int64(l.rate)) }

// beside takes in the estimate of another channel, both complete: the powers add up,
// and the higher of the two peaks counts.
func (l *estimate) beside(other *estimate) {
	for i, p := range other.power {
		l.power[i] += p
	}
	for i, p := range other.peak {
		l.peak[i] = max(l.peak[i], p)
	}
}

// bin is the mean power of 100 ms.
func (l *estimate) bin(b int, gain func(i int) float64) float64 {
	const per = perSecond / 10
	sum := 0.0
	for i := b * per; i <= (b+1)*per && i < len(l.power); i++ {
		share := 1.0
		if i == b*per || i == (b+1)*per {
			share = 0.5
		}
		g := gain(i)
		sum += float64(share * float64(l.power[i]) * g * g)
	}
	return sum / per
}
