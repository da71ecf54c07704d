package synth

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/level"
	"reedlark/synth/reed"
)

// accountant writes the parts into the ledger.
type accountant struct {
	*level.Ledger
	around  *level.Acoustics
	timbres []reed.Timbre
	tables  *reed.Cache
	rate    int
	echoes  []level.Echo // by number of timbre, as they are asked for
	noise   level.Echo
	resound resounds

	// Room to reckon in, used again for every part: the amplitudes of the
	// voices of a breath, of its noise, and the finer ones of the peaks.
	amps       [][]float64
	hiss, fine []float64
}

// addBlow counts the voices of one breath, their beating, and the noise.
func (a *accountant) addBlow(b *blow) {
	first := a.Entry(b.breath.First)
	for len(a.amps) < len(b.tones) {
		a.amps = append(a.amps, nil)
	}
	for i, t := range b.tones {
		a.amps[i] = a.addVoice(a.amps[i], t, first)
		for k := range i {
			a.addBeats(b.tones[k], t, first, a.amps[k], a.amps[i])
		}
	}
	a.addBreath(b.breath, first)
}

// track reckons a value at entries of the ledger, from first to the one after
// last, into out; it is 0 outside the frames from and to.
func track(out []float64, first, last int, frame func(i int) int64, from, to int64, value func(frame int64) float64) []float64 {
	out = grow(out, last-first+2)
	for i := range out {
		out[i] = 0
		if f := frame(first + i); f >= from && f <= to {
			out[i] = value(f)
		}
	}
	return out
}

// powers and peaks are a part's amplitudes at the entries of either kind.
func (a *accountant) powers(out []float64, from, to int64, value func(frame int64) float64) []float64 {
	if a.brief(from, to) {
		_, energy := sample(from, to, value)
		return append(out[:0], math.Sqrt(energy*level.PerSecond/float64(a.rate)), 0)
	}
	return track(out, a.Entry(from), a.Entry(to), a.Frame, from, to, value)
}

func (a *accountant) peaks(from, to int64, value func(frame int64) float64) {
	first := a.PeakEntry(from)
	if a.brief(from, to) {
		high, _ := sample(from, to, value)
		value = func(int64) float64 { return high }
		from, to = a.PeakFrame(first), to+int64(a.rate)/level.PeaksPerSecond
	}
	a.fine = track(a.fine, first, a.PeakEntry(to), a.PeakFrame, from, to, value)
	a.AddPeaks(first, a.fine)
}

// brief parts, under a twenty-fifth of a second, come and go between the
// entries of the ledger: they are sampled and counted as a whole.
func (a *accountant) brief(from, to int64) bool { return (to-from)*25 < int64(a.rate) }

// sample is the highest of a value over some frames, and the sum over the
// frames of its square.
func sample(from, to int64, value func(frame int64) float64) (high, energy float64) {
	const points = 32
	for i := range int64(points) {
		v := value(from + (to-from)*i/points)
		high = max(high, v)
		energy += float64(v * v)
	}
	return high * 1.1, energy * float64(to-from) / points
}

// addVoice counts one voice by itself, and returns its amplitudes in out.
func (a *accountant) addVoice(out []float64, t *reed.Tone, first int) []float64 {
	number := t.Legs[len(t.Legs)-1].B
	facts := a.tables.Table(a.timbres[number]).Facts
	out = a.powers(out, t.First, t.End, func(frame int64) float64 {
		return facts.Weighted.Level(t.Strength(frame))
	})
	ownPeak, darkPeak := a.peaksOf(t)
	a.peaks(t.First, t.End, func(frame int64) float64 {
		own, dark := t.Strength(frame)
		return float64(own*ownPeak) + float64(dark*darkPeak)
	})
	a.AddTone(a.around, a.echo(number), first, out)
	return out
}

// peaksOf are the highest true peaks of the waves a voice goes through.
func (a *accountant) peaksOf(t *reed.Tone) (own, dark float64) {
	for _, leg := range t.Legs {
		for _, number := range []int32{leg.A, leg.B} {
			facts := a.tables.Table(a.timbres[number]).Facts
			own, dark = max(own, facts.OwnPeak), max(dark, facts.DarkPeak)
		}
	}
	return own, dark
}

// echo is that of a timbre, reckoned once.
func (a *accountant) echo(number int32) level.Echo {
	if a.echoes[number] == nil {
		a.echoes[number] = a.around.Echo(a.timbres[number].Lines())
	}
	return a.echoes[number]
}

// hissPeak is how far the noise peaks over its RMS.
const hissPeak = 4.5

func (a *accountant) addBreath(b *reed.Breath, first int) {
	if b.Gain < 1e-9 {
		return
	}
	a.hiss = a.powers(a.hiss, b.First, b.End, func(f int64) float64 { return hissWeight * b.Strength(f) })
	a.peaks(b.First, b.End, func(f int64) float64 { return hissPeak * b.Strength(f) })
	a.AddTone(a.around, a.noise, first, a.hiss)
}

// hissWeight is what a meter adds to noise of the breath's band: the shelf's
// 4 dB above 3 kHz, less below, 2.9 dB in all.
const hissWeight = 1.4

// nearby is the distance under which two lines are heard as one that swells,
// Hz; farther apart, a block of 400 ms averages it out.
const nearby = 1.0

// addBeats counts what lines of two voices that are nearly one add to, or
// take from, the sum of their powers.
func (a *accountant) addBeats(v, w *reed.Tone, first int, av, aw []float64) {
	x, y := a.timbres[v.Legs[len(v.Legs)-1].B], a.timbres[w.Legs[len(w.Legs)-1].B]
	lx, ly := x.Lines(), y.Lines()
	from, _ := v.Span()
	for i := range lx {
		k := int(math.Floor(lx[i].Hz/y.Hz + 0.5))
		if k < 1 || k > len(ly) || math.Abs(lx[i].Hz-ly[k-1].Hz) >= nearby {
			continue
		}
		apart := lx[i].Hz - ly[k-1].Hz
		turns := float64(float64(reed.PhaseOf(i+1)-reed.PhaseOf(k)) / reed.Points)
		power := 2 * math.Sqrt(lx[i].Power()*ly[k-1].Power()) * a.around.Steady(lx[i].Hz)
		for n := range av {
			t := float64(float64(a.Frame(first+n)-from) / float64(x.Rate))
			beat := dsp.Cos(float64(apart*t) + turns)
			a.AddPower(first+n, float64(power*av[n]*aw[n]*beat))
		}
	}
}

// addTick counts a tick as its energy spread over the entries it covers.
func (a *accountant) addTick(t *tick) {
	rate := float64(a.rate)
	weight := dsp.NewWeighting(rate).Power(t.hz / rate)
	from, to := t.Span()
	first := a.Entry(from)
	amps := make([]float64, a.Entry(to)-first+2)
	for i := range amps {
		amps[i] = math.Sqrt(weight) * t.rms(a.Frame(first+i), a.Frame(first+i+1))
	}
	a.AddTone(a.around, a.noise, first, amps)
	a.peaks(from, to, func(int64) float64 { return t.gain })
}
