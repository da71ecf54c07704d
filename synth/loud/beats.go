package loud

import (
	"math"
	"slices"

	"reedlark/synth/dsp"
	"reedlark/synth/reed"
)

// steadyPart is a part of one pitch, as far as it matters to those that sound
// with it: lines of two parts that are nearly one add up as they happen to lie.
type steadyPart struct {
	part     Part
	from, to int64
	lines    []reed.Line
	weighted reed.Shares
	turns    func(harmonic int) float64 // of a harmonic against its fundamental, in its table
	backing  bool
	now      reed.Strength // of the last frame asked for
	since    int64
}

// addMeetings counts what the backing's lines add to, or take from, those of
// the reeds and of each other, and what the reflections of a reed make with the
// notes after it. Voices of one breath are counted with it.
func (a *estimator) addMeetings(sources []Source, watch func(frames int64) error) error {
	echoes := !a.room.Dry() && max(a.room.Taps[1].Mid, -a.room.Taps[1].Mid) > slight
	if !echoes && !slices.ContainsFunc(sources, isNote) {
		return nil
	}
	reach := int64(a.room.Reach())
	var active []steadyPart
	for _, source := range sources {
		if err := watch(0); err != nil {
			return err
		}
		for _, next := range source.steady(a) {
			active = slices.DeleteFunc(active, func(s steadyPart) bool { return s.to+reach <= next.from })
			for _, s := range active {
				switch {
				case s.backing || next.backing:
					a.meet(s, next)
				case echoes && s.from < next.from:
					a.trail(s, next)
				}
			}
			active = append(active, next)
		}
	}
	return nil
}

func isNote(s Source) bool {
	_, ok := s.(*Note)
	return ok
}

// steady is the tones that do not shake.
func (b *Breath) steady(a *estimator) (out []steadyPart) {
	for _, t := range b.Tones {
		if t.Motion.Kind == reed.Still {
			out = append(out, a.steadyTone(t))
		}
	}
	return out
}

func (n *Note) steady(*estimator) []steadyPart {
	from, to := n.Span()
	return []steadyPart{{part: n, from: from, to: to, lines: n.Lines, weighted: n.Weighted, turns: n.Turns, backing: true}}
}

func (c *Click) steady(*estimator) []steadyPart { return nil }

// steadyTone is a tone at its last pitch.
func (a *estimator) steadyTone(t *reed.Tone) steadyPart {
	number := t.Breakpoints[len(t.Breakpoints)-1].B
	weighted := a.tables.Table(a.timbres[number]).Facts.Weighted
	return steadyPart{part: t, from: t.First, to: t.End, lines: a.lines(number), weighted: weighted, turns: reedTurns}
}

func reedTurns(harmonic int) float64 { return float64(reed.PhaseOf(harmonic)) / reed.Points }

// level is the amplitude at a frame, as a meter weights it.
func (s *steadyPart) level(frame int64) float64 {
	if frame < s.since || frame >= s.now.Until {
		s.now, s.since = s.part.Strength(frame), frame
	}
	own := s.now.Own + float64(s.now.OwnRise*float64(frame-s.since))
	return s.weighted.Level(own, s.now.Dark+float64(s.now.DarkRise*float64(frame-s.since)))
}

// at is where a harmonic is at a frame, turns.
func (s *steadyPart) at(harmonic int, frame int64) float64 {
	phase := s.part.Advance(0, s.from, frame)
	return float64(float64(uint32(harmonic)*phase)/dsp.Turn) + s.turns(harmonic)
}

// meeting is two lines that lie nearer than a meter can tell apart.
type meeting struct {
	i, k  int     // their harmonics
	power float64 // of the two together, over that of both apart, where they lie alike
	hz    float64
	apart float64 // Hz
}

// meetings are those of two parts.
func (s *steadyPart) meetings(other steadyPart) (out []meeting) {
	for i, line := range s.lines {
		k := int(math.Floor(line.Hz/other.lines[0].Hz + 0.5))
		if k < 1 || k > len(other.lines) || math.Abs(line.Hz-other.lines[k-1].Hz) >= nearby {
			continue
		}
		second := other.lines[k-1]
		power := 2 * math.Sqrt(line.Power()*second.Power())
		out = append(out, meeting{i + 1, k, power, line.Hz, line.Hz - second.Hz})
	}
	return out
}

// meet counts the lines of two parts where they sound together.
func (a *estimator) meet(x, y steadyPart) {
	from, to := max(x.from, y.from), min(x.to, y.to)
	if from >= to {
		return
	}
	middle := from + (to-from)/2 // past attack, scoop and glide
	all := x.meetings(y)
	lies, powers := make([]float64, len(all)), make([]float64, len(all))
	for i, m := range all {
		lies[i] = x.at(m.i, middle) - y.at(m.k, middle)
		powers[i] = m.power * a.around.steadyPower(m.hz)
	}
	for e := a.entry(from) + 1; len(all) > 0 && a.frame(e) < to; e++ {
		f := a.frame(e)
		lx, ly := x.level(f), y.level(f)
		for i, m := range all {
			beat := dsp.Cos(float64(m.apart*float64(f-middle)/float64(a.rate)) + lies[i])
			a.addPower(e, float64(powers[i]*lx*ly*beat))
		}
	}
}

// slight is how loud the first reflection is at most of a room in which those of one
// note do not matter to the next; faint the power of two lines, re both tones, under
// which they do not.
const (
	slight = 0.05
	faint  = 0.02
)

// trail counts what the reflections of a part make with the lines of one that begins
// after it, most often when it is over.
func (a *estimator) trail(x, y steadyPart) {
	all := slices.DeleteFunc(x.meetings(y), func(m meeting) bool { return m.power < faint })
	if len(all) == 0 {
		return
	}
	lies := make([]float64, len(all))
	for i, m := range all {
		lies[i] = x.at(m.i, x.to) - y.turns(m.k)
	}
	phase, from, end := uint32(0), y.from, min(y.to, x.to+int64(a.room.Reach()))
	for e := a.entry(y.from) + 1; a.frame(e) < end; e++ {
		f := a.frame(e)
		phase, from = y.part.Advance(phase, from, f), f
		power := a.channels * y.level(f)
		for _, tap := range a.room.Taps {
			at := f - int64(tap.Delay)
			if at < x.from || at >= x.to {
				continue
			}
			amp, since := power*float64(tap.Mid)*x.level(at), float64(at-x.to)/float64(a.rate)
			for i, m := range all {
				turns := float64(m.hz*since) + lies[i] - float64(float64(uint32(m.k)*phase)/dsp.Turn)
				a.addPower(e, float64(amp*m.power*dsp.Cos(turns)))
			}
		}
	}
}
