package musicxml

import (
	"strconv"

	"reedlark/tab/beat"
	"reedlark/tab/harp"
)

// dress writes what stands over and around the notes: divisions and durations,
// key, metre, tempo, the numbers of the measures and the last bar line.
func (w *writer) dress() {
	first := w.measures[0]
	parts := w.count()
	first.Attributes = w.attributes(parts)
	w.changeMetres()
	w.harmonize(parts)
	first.Directions = w.directions()
	w.fold()
	if w.Piece.Pickup.Sign() > 0 && len(w.measures) > 1 {
		first.Implicit = "yes"
		for i, m := range w.measures {
			m.Number = i // a pick-up is no whole bar
		}
	}
	if last := w.measures[len(w.measures)-1]; last.Barline == nil || last.Barline.Style == "" {
		if last.Barline == nil {
			last.Barline = &barline{Location: "right"}
		}
		last.Barline.Style = "light-heavy"
	}
}

// changeMetres writes a metre over the measures where it changes. Its beats stay
// those of the page.
func (w *writer) changeMetres() {
	for _, c := range w.Piece.Metres {
		if i := w.measureAt(c.At); i > 0 && w.Metre.Unit > 0 {
			w.measures[i].Attributes = &newTime{time{Beats: c.Metre.Beats, Unit: w.Metre.Unit}}
		}
	}
}

// count turns lengths into whole parts of a quarter.
func (w *writer) count() int64 {
	var lengths []beat.Time
	for _, m := range w.measures {
		for _, n := range m.Notes {
			if n.Grace == nil {
				lengths = append(lengths, n.length)
			}
		}
	}
	parts := divisions(lengths)
	for _, m := range w.measures {
		for _, n := range m.Notes {
			if n.Grace == nil {
				n.Duration = max(1, round(n.length.Times(int(parts))))
			}
		}
	}
	return parts
}

// round is the whole number nearest to a positive fraction.
func round(x beat.Time) int64 { return int64(x.Plus(beat.Whole(1).Over(2)).Floor()) }

func (w *writer) attributes(parts int64) *attributes {
	a := &attributes{Divisions: parts, Fifths: fifths(w.Harp.Key), Sign: "G", Line: 2}
	if w.Metre.Beats > 0 {
		a.Time = time{Beats: w.Metre.Beats, Unit: w.Metre.Unit}
	} else {
		a.Time.Without = new(string)
	}
	if w.ForC {
		a.Fifths = 0
		a.Transpose = w.transposed()
	}
	return a
}

// fifths is the signature of the harp's own key: sharps, or flats below zero.
// It lies on the circle of fifths, from Db to F#.
func fifths(k harp.Key) int {
	n := harp.Key{}.Position(k.Tonic()) - 1
	if n > 6 {
		n -= 12
	}
	return n
}

// letters in the order of the scale, for steps.
const letters = "CDEFGAB"

// transposed says how far from its notes the part sounds.
func (w *writer) transposed() *transpose {
	midi := w.Harp.Key.Tonic()
	name := w.Harp.Key.NoteName(midi)
	step := 0
	for i := range letters {
		if letters[i] == name[0] {
			step = i
		}
	}
	octaves := midi/12 - harp.Key{}.Tonic()/12
	return &transpose{step + len(letters)*octaves, w.transposition()}
}

// beatUnits are the names of beats, by the lower figure of the metre.
var beatUnits = map[int]string{1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th"}

func (w *writer) directions() []direction {
	unit := 4
	if w.Metre.Unit > 0 {
		unit = w.Metre.Unit
	}
	quarters := w.Tempo * 4 / float64(unit)
	out := []direction{{
		Placement: "above",
		Metronome: &metronome{beatUnits[unit], decimal(w.Tempo)},
		Sound:     &sound{decimal(quarters)},
	}}
	if w.Swing {
		out = append(out, direction{Placement: "above", Words: "Swing"})
	}
	return out
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
