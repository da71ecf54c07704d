package loud

import (
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/reed"
	"reedlark/synth/room"
)

// estimator adds sources to an estimate.
type estimator struct {
	*estimate
	room     room.Room
	channels float64
	around   *acoustics
	timbres  []reed.Timbre
	tables   *reed.Cache
	rate     int
	// What is computed once, when it is first needed: by number of timbre, by
	// onset, and by the lines of a backing note.
	echoes  []echo
	spectra [][]reed.Line
	onsets  map[beginning]onset
	resound map[*reed.Line]echo
	noise   echo

	// Buffers that are reused for every source: the amplitudes of the voices of a
	// breath and of its noise; the gains of the two waves of a part, and its peaks,
	// at the fine entries.
	amps            [][]float64
	hiss            []float64
	own, dark, fine []float64
}

func newEstimator(p Plan, r room.Room, channels int) *estimator {
	around := newAcoustics(r, p.Rate, channels)
	return &estimator{
		estimate: newEstimate(p.Frames, p.Rate, around),
		room:     r,
		channels: float64(channels),
		around:   around,
		timbres:  p.Timbres,
		tables:   p.Tables,
		rate:     p.Rate,
		echoes:   make([]echo, len(p.Timbres)),
		spectra:  make([][]reed.Line, len(p.Timbres)),
		onsets:   map[beginning]onset{},
		resound:  map[*reed.Line]echo{},
		noise:    around.noiseEcho(),
	}
}

// all adds all sources of a side.
func (a *estimator) all(sources []Source, watch func(frames int64) error) (*estimate, error) {
	for _, s := range sources {
		if err := watch(0); err != nil {
			return nil, err
		}
		first, _ := s.Span()
		a.settleBefore(first)
		s.count(a)
	}
	if err := a.addMeetings(sources, watch); err != nil {
		return nil, err
	}
	a.complete()
	return a.estimate, nil
}

// count adds the voices of one breath, their beating, and the noise.
func (b *Breath) count(a *estimator) {
	first := a.entry(b.First)
	for len(a.amps) < len(b.Tones) {
		a.amps = append(a.amps, nil)
	}
	for i, t := range b.Tones {
		a.amps[i] = a.addVoice(a.amps[i], t, first)
		for k := range i {
			a.addBeats(b.Tones[k], t, first, a.amps[k], a.amps[i])
		}
	}
	a.addBreath(b.Breath, first)
}

// count adds a note of the backing.
func (n *Note) count(a *estimator) {
	key := &n.Lines[0]
	if a.resound[key] == nil {
		a.resound[key] = a.around.echoOf(n.Lines)
	}
	from, to := n.Span()
	facts := reed.Facts{OwnPeak: n.OwnPeak, DarkPeak: n.ExtraPeak, Weighted: n.Weighted}
	a.hiss = a.add(a.hiss, from, to, n.Strength, &facts)
	a.addTone(a.around, a.resound[key], nil, a.entry(from), a.hiss)
}

// addVoice counts one voice by itself, and returns its amplitudes in out.
func (a *estimator) addVoice(out []float64, t *reed.Tone, first int) []float64 {
	facts := a.tables.Table(a.timbres[t.Breakpoints[0].A]).Facts
	facts.OwnPeak, facts.DarkPeak, facts.EdgePeak = a.peaksOf(t)
	out = a.add(out, t.First, t.End, t.Follow(), &facts)
	from := 0
	for i, b := range t.Breakpoints {
		to := len(out)
		if i+1 < len(t.Breakpoints) {
			to = min(max(a.entry(t.Breakpoints[i+1].At)-first, from), to)
		}
		var onset onset
		if i == 0 {
			onset = a.onset(b.B, scoopOf(t))
		}
		a.addSegment(b.B, t, onset, first+from, out[from:to])
		from = to
	}
	return out
}

// addSegment counts a voice while it has one timbre, its amplitudes given from an entry
// on. What a room does to it depends on its pitch, and so changes when it sways.
func (a *estimator) addSegment(number int32, t *reed.Tone, onset onset, entry int, amps []float64) {
	straight := len(amps)
	if t.Motion.Kind == reed.Vibrato {
		from, depth := t.Motion.Sways()
		straight = min(max(a.entry(t.First+int64(from*t.Rate))-entry, 0), straight)
		echo := a.around.swayingEcho(a.lines(number), depth, t.Motion.Hz)
		a.addTone(a.around, echo, nil, entry+straight, amps[straight:])
	}
	a.addTone(a.around, a.echo(number), onset, entry, amps[:straight])
}

// peaksOf are the highest true peaks of the waves a voice goes through.
func (a *estimator) peaksOf(t *reed.Tone) (own, dark, edge float64) {
	for _, b := range t.Breakpoints {
		for _, number := range []int32{b.A, b.B} {
			facts := a.tables.Table(a.timbres[number]).Facts
			own, dark, edge = max(own, facts.OwnPeak), max(dark, facts.DarkPeak), max(edge, facts.EdgePeak)
		}
	}
	return own, dark, edge
}

// echo is that of a timbre, reckoned once.
func (a *estimator) echo(number int32) echo {
	if a.echoes[number] == nil {
		a.echoes[number] = a.around.echoOf(a.lines(number))
	}
	return a.echoes[number]
}

// scoopGrain is how far the scoops of a player, which all differ, are taken to be
// alike, cents: 0.01 LU.
const scoopGrain = 10

// scoopOf is the scoop of a tone as far as its onset depends on it.
func scoopOf(t *reed.Tone) reed.Scoop {
	s := t.Scoop
	if t.Life != nil {
		s.Cents = scoopGrain * math.Floor(s.Cents/scoopGrain+0.5)
	}
	return s
}

// beginning is a timbre that a scoop leads to.
type beginning struct {
	number int32
	scoop  reed.Scoop
}

// onset is that of a timbre after a scoop, reckoned once.
func (a *estimator) onset(number int32, scoop reed.Scoop) onset {
	key := beginning{number, scoop}
	out, ok := a.onsets[key]
	if !ok {
		out = a.around.onsetOf(a.lines(number), 1-dsp.Exp2(-scoop.Cents/1200), scoop.Tau)
		a.onsets[key] = out
	}
	return out
}

// lines are those of a timbre, reckoned once.
func (a *estimator) lines(number int32) []reed.Line {
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

func (a *estimator) addBreath(b *reed.Breath, first int) {
	if b.Gain < 1e-9 {
		return
	}
	weighted := func(frame int64) reed.Strength {
		s := b.Strength(frame)
		s.Own *= hissWeight
		return s
	}
	a.hiss = a.add(a.hiss, b.First, b.End, weighted, &reed.Facts{OwnPeak: hissPeak / hissWeight})
	a.addTone(a.around, a.noise, nil, first, a.hiss)
}

// nearby is the distance under which two lines are heard as one that swells,
// Hz; farther apart, a block of 400 ms averages it out.
const nearby = 1.0

// addBeats counts what lines of two voices that are nearly one add to, or
// take from, the sum of their powers.
func (a *estimator) addBeats(v, w *reed.Tone, first int, av, aw []float64) {
	x, y := a.steadyTone(v), a.steadyTone(w)
	for _, m := range x.meetings(y) {
		turns := float64(float64(reed.PhaseOf(m.i)-reed.PhaseOf(m.k)) / reed.Points)
		power := m.power * a.around.steadyPower(m.hz)
		for n := range av {
			t := float64(float64(a.frame(first+n)-x.from) / float64(a.rate))
			beat := dsp.Cos(float64(m.apart*t) + turns)
			a.addPower(first+n, float64(power*av[n]*aw[n]*beat))
		}
	}
}

// count adds a click as its energy spread over the entries it covers.
func (c *Click) count(a *estimator) {
	from, to := c.Span()
	first := a.entry(from)
	amps := make([]float64, a.entry(to)-first+2)
	for i := range amps {
		amps[i] = math.Sqrt(c.Weight) * c.RMS(a.frame(first+i), a.frame(first+i+1))
	}
	a.addTone(a.around, a.noise, nil, first, amps)
	peaks := make([]float64, a.peakEntry(to)-a.peakEntry(from)+1)
	for i := range peaks {
		at := a.peakEntry(from) + i
		peaks[i] = c.Peak(a.peakFrame(at), a.peakFrame(at+1))
	}
	a.addPeaks(a.peakEntry(from), peaks)
}
