package melody

import (
	"slices"

	"reedlark/tab/beat"
)

// Settle makes one line of notes that may overlap: those that begin together are
// a chord, which lasts as long as the longest of them, and a note ends where the
// next begins. It reports how many notes it cut short.
func (t *Tune) Settle() (cut int) {
	slices.SortStableFunc(t.Notes, func(a, b Note) int { return a.At.Cmp(b.At) })
	out := t.Notes[:0]
	last := -1 // the last that is no grace note
	for _, n := range t.Notes {
		if n.Grace {
			out = append(out, n)
			continue
		}
		if last >= 0 && out[last].At == n.At {
			out[last].merge(n)
			continue
		}
		if last >= 0 && n.At.Less(out[last].End()) {
			out[last].Length = n.At.Minus(out[last].At)
			cut++
		}
		last = len(out)
		out = append(out, n)
	}
	t.Notes = out
	return cut
}

// merge makes a chord of two notes.
func (n *Note) merge(o Note) {
	n.Pitches = append(slices.Clone(n.Pitches), o.Pitches...)
	slices.SortFunc(n.Pitches, func(a, b Pitch) int { return a.Midi - b.Midi })
	n.Pitches = slices.CompactFunc(n.Pitches, func(a, b Pitch) bool { return a.Midi == b.Midi })
	n.Length = beat.Max(n.Length, o.Length)
	if len(n.Words) == 0 {
		n.Words = o.Words
	}
}
