package synth

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/level"
	"reedlark/synth/reed"
	"reedlark/synth/room"
)

// accountant writes the parts into the ledger.
type accountant struct {
	*level.Ledger
	room     room.Room
	channels float64
	around   *level.Acoustics
	timbres  []reed.Timbre
	tables   *reed.Cache
	rate     int
	echoes   []level.Echo  // by number of timbre, as they are asked for
	spectra  [][]reed.Line // so too
	onsets   map[beginning]level.Onset
	noise    level.Echo
	resound  resounds

	// Room to reckon in, used again for every part: the amplitudes of the
	// voices of a breath and of its noise; the gains of the two waves of a part, and
	// its peaks, at the fine entries.
	amps            [][]float64
	hiss            []float64
	own, dark, fine []float64
}

// count counts the voices of one breath, their beating, and the noise.
func (b *blow) count(a *accountant) {
	first := a.Entry(b.First)
	for len(a.amps) < len(b.tones) {
		a.amps = append(a.amps, nil)
	}
	for i, t := range b.tones {
		a.amps[i] = a.addVoice(a.amps[i], t, first)
		for k := range i {
			a.addBeats(b.tones[k], t, first, a.amps[k], a.amps[i])
		}
	}
	a.addBreath(b.Breath, first)
}

// addVoice counts one voice by itself, and returns its amplitudes in out.
func (a *accountant) addVoice(out []float64, t *reed.Tone, first int) []float64 {
	facts := a.tables.Table(a.timbres[t.Legs[0].A]).Facts
	facts.OwnPeak, facts.DarkPeak = a.peaksOf(t)
	out = a.add(out, t.First, t.End, t.Strength, &facts)
	from := 0
	for i, leg := range t.Legs {
		to := len(out)
		if i+1 < len(t.Legs) {
			to = min(max(a.Entry(t.Legs[i+1].At)-first, from), to)
		}
		var onset level.Onset
		if i == 0 {
			onset = a.onset(leg.B, t.Scoop)
		}
		a.addLeg(leg.B, t, onset, first+from, out[from:to])
		from = to
	}
	return out
}

// addLeg counts a voice while it has one timbre, its amplitudes given from an entry
// on. What a room does to it depends on its pitch, and so changes when it sways.
func (a *accountant) addLeg(number int32, t *reed.Tone, onset level.Onset, entry int, amps []float64) {
	straight := len(amps)
	if t.Motion.Kind == reed.Vibrato {
		from, depth := t.Motion.Sways()
		straight = min(max(a.Entry(t.First+int64(from*t.Rate))-entry, 0), straight)
		echo := a.around.Swaying(a.lines(number), depth, t.Motion.Hz)
		a.AddTone(a.around, echo, nil, entry+straight, amps[straight:])
	}
	a.AddTone(a.around, a.echo(number), onset, entry, amps[:straight])
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
		a.echoes[number] = a.around.Echo(a.lines(number))
	}
	return a.echoes[number]
}

// beginning is a timbre that a scoop leads to.
type beginning struct {
	number int32
	scoop  reed.Scoop
}

// onset is that of a timbre after a scoop, reckoned once.
func (a *accountant) onset(number int32, scoop reed.Scoop) level.Onset {
	key := beginning{number, scoop}
	out, ok := a.onsets[key]
	if !ok {
		out = a.around.Onset(a.lines(number), 1-dsp.Exp2(-scoop.Cents/1200), scoop.Tau)
		a.onsets[key] = out
	}
	return out
}

// lines are those of a timbre, reckoned once.
func (a *accountant) lines(number int32) []reed.Line {
	if a.spectra[number] == nil {
		a.spectra[number] = a.timbres[number].Lines()
	}
	return a.spectra[number]
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
	a.AddTone(a.around, a.noise, nil, first, a.hiss)
}

// nearby is the distance under which two lines are heard as one that swells,
// Hz; farther apart, a block of 400 ms averages it out.
const nearby = 1.0

// addBeats counts what lines of two voices that are nearly one add to, or
// take from, the sum of their powers.
func (a *accountant) addBeats(v, w *reed.Tone, first int, av, aw []float64) {
	x, _ := a.steady(v)
	y, _ := a.steady(w)
	for _, m := range x.meetings(y) {
		turns := float64(float64(reed.PhaseOf(m.i)-reed.PhaseOf(m.k)) / reed.Points)
		power := m.power * a.around.Steady(m.hz)
		for n := range av {
			t := float64(float64(a.Frame(first+n)-x.from) / float64(a.rate))
			beat := dsp.Cos(float64(m.apart*t) + turns)
			a.AddPower(first+n, float64(power*av[n]*aw[n]*beat))
		}
	}
}

// count counts a tick as its energy spread over the entries it covers.
func (t *tick) count(a *accountant) {
	rate := float64(a.rate)
	weight := dsp.NewWeighting(rate).Power(t.hz / rate)
	from, to := t.Span()
	first := a.Entry(from)
	amps := make([]float64, a.Entry(to)-first+2)
	for i := range amps {
		amps[i] = math.Sqrt(weight) * t.rms(a.Frame(first+i), a.Frame(first+i+1))
	}
	a.AddTone(a.around, a.noise, nil, first, amps)
	peaks := make([]float64, a.PeakEntry(to)-a.PeakEntry(from)+1)
	for i := range peaks {
		peaks[i] = t.gain
	}
	a.AddPeaks(a.PeakEntry(from), peaks)
}
