package synth

import (
	"cmp"
	"math"
	"slices"

	"reedlark/synth/band"
	"reedlark/synth/dsp"
	"reedlark/synth/reed"
)

// steadyPart is a part of one pitch, as far as it matters to those that sound
// with it: lines of two parts that are nearly one add up as they happen to lie.
type steadyPart struct {
	from, to int64
	lines    []reed.Line
	phase    func(frame int64) uint32   // of the fundamental
	turns    func(harmonic int) float64 // of a harmonic against it, in its table
	level    func(frame int64) float64  // amplitude
	backing  bool
}

// addMeetings counts what the backing's lines add to, or take from, those of
// the reeds and of each other. Voices of one breath are counted with it.
func (a *accountant) addMeetings(p *plan) {
	if len(p.backing) == 0 {
		return
	}
	m := meetings{accountant: a, lines: map[int32][]reed.Line{}}
	all := make([]reed.Part, 0, len(p.parts))
	for _, part := range p.parts {
		if stemOf(part) == Melody || isNote(part) {
			all = append(all, part)
		}
	}
	slices.SortStableFunc(all, func(x, y reed.Part) int {
		from, _ := x.Span()
		other, _ := y.Span()
		return cmp.Compare(from, other)
	})
	var active []steadyPart
	for _, part := range all {
		next, ok := m.steady(part)
		if !ok {
			continue
		}
		active = slices.DeleteFunc(active, func(s steadyPart) bool { return s.to <= next.from })
		for _, s := range active {
			if s.backing || next.backing {
				m.meet(s, next)
			}
		}
		active = append(active, next)
	}
}

func isNote(part reed.Part) bool {
	_, ok := part.(*band.Note)
	return ok
}

// meetings finds where lines meet.
type meetings struct {
	*accountant
	lines map[int32][]reed.Line // of the timbres met so far
}

// steady is what a part is to others; none for noise and for what shakes.
func (m *meetings) steady(part reed.Part) (steadyPart, bool) {
	from, to := part.Span()
	out := steadyPart{from: from, to: to, phase: func(frame int64) uint32 { return part.Advance(0, from, frame) }}
	switch v := part.(type) {
	case *band.Note:
		out.lines, out.turns, out.backing = v.Table.Lines, band.Turns, true
		out.level = levelOf(v.Strength, v.Table.Weighted)
		return out, true
	case *reed.Tone:
		number := v.Legs[len(v.Legs)-1].B
		if m.lines[number] == nil {
			m.lines[number] = m.timbres[number].Lines()
		}
		out.lines, out.turns = m.lines[number], reedTurns
		out.level = levelOf(v.Strength, m.tables.Table(m.timbres[number]).Facts.Weighted)
		return out, v.Motion.Kind == reed.Still
	}
	return out, false
}

func levelOf(at strength, weighted reed.Shares) func(frame int64) float64 {
	return func(frame int64) float64 {
		own, dark, _ := at(frame)
		return weighted.Level(own, dark)
	}
}

func reedTurns(harmonic int) float64 { return float64(reed.PhaseOf(harmonic)) / reed.Points }

// meet counts the lines of two parts that lie nearer than a meter can tell
// apart.
func (m *meetings) meet(x, y steadyPart) {
	from, to := max(x.from, y.from), min(x.to, y.to)
	middle := from + (to-from)/2 // past attack, scoop and glide
	for i, line := range x.lines {
		k := int(math.Floor(line.Hz/y.lines[0].Hz + 0.5))
		if k < 1 || k > len(y.lines) || math.Abs(line.Hz-y.lines[k-1].Hz) >= nearby {
			continue
		}
		other := y.lines[k-1]
		apart := line.Hz - other.Hz
		lie := x.at(i+1, middle) - y.at(k, middle)
		power := 2 * math.Sqrt(line.Power()*other.Power()) * m.around.Steady(line.Hz)
		for e := m.Entry(from) + 1; m.Frame(e) < to; e++ {
			f := m.Frame(e)
			beat := dsp.Cos(float64(apart*float64(f-middle)/float64(m.rate)) + lie)
			m.AddPower(e, float64(power*x.level(f)*y.level(f)*beat))
		}
	}
}

// at is where a harmonic is at a frame, turns.
func (s *steadyPart) at(harmonic int, frame int64) float64 {
	return float64(float64(uint32(harmonic)*s.phase(frame))/dsp.Turn) + s.turns(harmonic)
}
