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
}

// addBlow counts the voices of one breath, their beating, and the noise.
func (a *accountant) addBlow(b *blow) {
	from, to := b.tones[0].Span()
	first, last := a.Entry(from), a.Entry(to)+1
	amps := make([][]float64, len(b.tones))
	for i, t := range b.tones {
		amps[i] = a.addVoice(t, first, last)
		for k := range i {
			a.addBeats(b.tones[k], t, first, amps[k], amps[i])
		}
	}
	a.addBreath(b.breath, first, last)
}

// inside is a frame kept within a part.
func inside(frame, from, to int64) (int64, bool) {
	return min(max(frame, from), to), frame >= from && frame <= to
}

// addVoice counts one voice by itself, and returns its amplitudes.
func (a *accountant) addVoice(t *reed.Tone, first, last int) []float64 {
	number := t.Legs[len(t.Legs)-1].B
	facts := a.tables.Table(a.timbres[number]).Facts
	amps, peaks := make([]float64, last-first+1), make([]float64, last-first+1)
	from, to := t.Span()
	for i := range amps {
		frame, ok := inside(a.Frame(first+i), from, to)
		if !ok {
			continue
		}
		own, dark := t.Strength(frame)
		amps[i] = facts.Weighted.Level(own, dark)
		peaks[i] = float64(own*facts.OwnPeak) + float64(dark*facts.DarkPeak)
	}
	a.AddTone(a.around, a.echo(number), first, amps)
	a.AddPeaks(first, peaks)
	return amps
}

func (a *accountant) echo(number int32) level.Echo {
	if a.echoes[number] == nil {
		a.echoes[number] = a.around.Echo(a.timbres[number].Lines())
	}
	return a.echoes[number]
}

// hissPeak is how far the noise peaks over its RMS.
const hissPeak = 4.5

func (a *accountant) addBreath(b *reed.Breath, first, last int) {
	if b.Gain < 1e-9 {
		return
	}
	amps, peaks := make([]float64, last-first+1), make([]float64, last-first+1)
	from, to := b.Span()
	for i := range amps {
		if frame, ok := inside(a.Frame(first+i), from, to); ok {
			amps[i] = b.Strength(frame) * hissWeight
			peaks[i] = b.Strength(frame) * hissPeak
		}
	}
	a.AddTone(a.around, a.noise, first, amps)
	a.AddPeaks(first, peaks)
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
		turns := float64(reed.PhaseOf(i+1)-reed.PhaseOf(k)) / reed.Points
		power := 2 * math.Sqrt(lx[i].Power()*ly[k-1].Power()) * a.around.Steady(lx[i].Hz)
		for n := range av {
			t := float64(a.Frame(first+n)-from) / float64(x.Rate)
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
	first, last := a.Entry(from), a.Entry(to)+1
	amps, peaks := make([]float64, last-first+1), make([]float64, last-first+1)
	for i := range amps {
		amps[i] = math.Sqrt(weight) * t.rms(a.Frame(first+i), a.Frame(first+i+1))
	}
	for i := range peaks {
		peaks[i] = t.gain
	}
	a.AddTone(a.around, a.noise, first, amps)
	a.AddPeaks(first, peaks)
}
