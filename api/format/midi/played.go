package midi

import (
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
	"reedlark/tab/quantise"
)

// quantise finds the beats of a file that was played without a grid, from the
// seconds of its notes alone. It reports whether it could.
func (r *reader) quantise(t *melody.Tune, p *strand) bool {
	taps := quantise.Taps{}
	notes := slices.Clone(t.Notes)
	tempo := r.tempo
	if tempo <= 0 {
		tempo = 120 // ref: Standard MIDI Files 1.0, where no tempo is given
	}
	perTick := 60 / tempo / float64(r.perQuarter)
	slices.SortStableFunc(p.notes, func(a, b struck) int { return int(a.from - b.from) })
	t.Notes = t.Notes[:0]
	for _, n := range p.notes {
		at := float64(n.from) * perTick
		pitch := melody.FromMidi(int(n.key), r.fifths())
		if k := len(taps.Onsets); k > 0 && at-taps.Onsets[k-1] < together {
			last := &t.Notes[k-1]
			last.Pitches = append(last.Pitches, pitch)
			continue
		}
		taps.Onsets, taps.Ends = append(taps.Onsets, at), append(taps.Ends, float64(n.to)*perTick)
		t.Notes = append(t.Notes, melody.Note{Pitches: []melody.Pitch{pitch}, Place: melody.Place{Line: int(n.from)}})
	}
	found, err := quantise.Quantise(taps)
	if err != nil {
		t.Notes = notes
		return false
	}
	r.write(t, found)
	return true
}

// together is how close, in seconds, the notes of a chord are struck. Common
// practice, no source.
const together = 0.03

// write makes bars and notes of a rhythm that was found.
func (r *reader) write(t *melody.Tune, found quantise.Rhythm) {
	metre := melody.Metre{Beats: found.Metre.Beats, Unit: found.Metre.Unit}
	quarters := func(b beat.Time) beat.Time { return b.Times(4).Over(max(metre.Unit, 1)) }
	for i := range t.Notes {
		n := &t.Notes[i]
		n.At, n.Length = quarters(found.Notes[i].Start), quarters(found.Notes[i].Beats)
		slices.SortFunc(n.Pitches, func(a, b melody.Pitch) int { return a.Midi - b.Midi })
		n.Pitches = slices.CompactFunc(n.Pitches, func(a, b melody.Pitch) bool { return a.Midi == b.Midi })
		t.Length = beat.Max(t.Length, n.End())
	}
	t.Tempo = found.Tempo * 4 / float64(max(metre.Unit, 1))
	t.Bars = []melody.Bar{{Metre: metre}}
	at := quarters(found.Pickup)
	if at.Sign() == 0 {
		at = metre.Length()
	}
	for ; at.Less(t.Length) && metre.Length().Sign() > 0 && len(t.Bars) < mostBars; at = at.Plus(metre.Length()) {
		t.Bars = append(t.Bars, melody.Bar{At: at, Metre: metre})
	}
	t.Length = beat.Max(t.Length, at)
	t.NumberBars()
	t.Remarks = append(t.Remarks, "the file was played without a grid; its beats, its metre and its tempo are a guess")
}
