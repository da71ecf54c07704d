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
	// voices of a breath and of its noise; the gains of the two waves of a part, and
	// its peaks, at the fine entries.
	amps            [][]float64
	hiss            []float64
	own, dark, fine []float64
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

// addVoice counts one voice by itself, and returns its amplitudes in out.
func (a *accountant) addVoice(out []float64, t *reed.Tone, first int) []float64 {
	number := t.Legs[len(t.Legs)-1].B
	facts := a.tables.Table(a.timbres[number]).Facts
	facts.OwnPeak, facts.DarkPeak = a.peaksOf(t)
	out = a.add(out, t.First, t.End, t.Strength, &facts)
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

// hiss is the noise of the breath as a wave: how far it peaks over its RMS, and
// what a meter adds to noise of its band: the shelf's 4 dB above 3 kHz, less below,
// 2.9 dB in all.
const (
	hissPeak   = 4.5
	hissWeight = 1.4
)

func (a *accountant) addBreath(b *reed.Breath, first int) {
	if b.Gain < 1e-9 {
		return
	}
	weighted := func(frame int64) (own, dark float64, until int64) {
		own, until = b.Strength(frame)
		return hissWeight * own, 0, until
	}
	a.hiss = a.add(a.hiss, b.First, b.End, weighted, &reed.Facts{OwnPeak: hissPeak / hissWeight})
	a.AddTone(a.around, a.noise, first, a.hiss)
}

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
	peaks := make([]float64, a.PeakEntry(to)-a.PeakEntry(from)+1)
	for i := range peaks {
		peaks[i] = t.gain
	}
	a.AddPeaks(a.PeakEntry(from), peaks)
}
