// Package level knows how loud a sound will be before it is rendered.
//
// An additive synthesizer knows its spectrum, so a loudness meter need not
// listen. The ledger holds, for every hundredth of a second, the power a meter
// would read after its weighting, and four times as often, because one note
// hands over to the next in a hundredth, a bound of the true peak.
// Voices write their part of both from their gains alone. Then the loudness is
// reckoned as a meter does, in blocks of 400 ms with two gates, and from it
// the gain that brings the sound to the wanted level. Where by the bound its peaks
// would be too high, they are looked at closely (Ear) before any is held down.
//
// ref: Recommendations ITU-R BS.1770-4 (loudness, true peak) and EBU R 128.
package level

// PerSecond is how many entries of power the ledger has a second;
// PeaksPerSecond how many of the peak, Finer to one.
const (
	PerSecond      = 100
	PeaksPerSecond = Finer * PerSecond
	Finer          = 4
)

// Ledger is the power and the peak of a sound over time.
type Ledger struct {
	rate  int
	power []float32 // at entry i, as weighted by a meter, summed over channels
	peak  []float32 // a bound between entries i and i+1
	bins  int       // whole 100 ms in the sound
	dry   dry
}

// New is the ledger of a sound of so many frames in a room.
func New(frames int64, rate int, around *Acoustics) *Ledger {
	n := int(frames*PerSecond/int64(rate)) + 2
	return &Ledger{
		rate:  rate,
		power: make([]float32, n),
		peak:  make([]float32, n),
		bins:  int(frames / int64(rate/10)),
		dry:   newDry(around, Finer*n),
	}
}

// Frame is the frame of entry i.
func (l *Ledger) Frame(i int) int64 { return int64(i) * int64(l.rate) / PerSecond }

// Entry is the last entry at or before a frame.
func (l *Ledger) Entry(frame int64) int { return int(frame * PerSecond / int64(l.rate)) }

// AddPower adds a power to entry i, if the sound reaches so far.
func (l *Ledger) AddPower(i int, power float64) {
	if i >= 0 && i < len(l.power) {
		l.power[i] += float32(power)
	}
}

// PeakFrame is the frame of entry i of the peaks.
func (l *Ledger) PeakFrame(i int) int64 { return int64(i) * int64(l.rate) / PeaksPerSecond }

// PeakEntry is the last entry of the peaks at or before a frame.
func (l *Ledger) PeakEntry(frame int64) int { return int(frame * PeaksPerSecond / int64(l.rate)) }

// Beside takes in the ledger of another channel, both complete: the powers add up,
// and the higher of the two peaks counts.
func (l *Ledger) Beside(other *Ledger) {
	for i, p := range other.power {
		l.power[i] += p
	}
	for i, p := range other.peak {
		l.peak[i] = max(l.peak[i], p)
	}
}

// bin is the mean power of 100 ms.
func (l *Ledger) bin(b int, gain func(i int) float64) float64 {
	const per = PerSecond / 10
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
