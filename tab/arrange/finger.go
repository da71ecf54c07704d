package arrange

import (
	"slices"

	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// fingered is a copy of a tune whose notes are fingered as tab, "" for what the
// harp lacks.
func (p *piece) fingered(t *melody.Tune, way *harp.Way, wish harp.Wish) *melody.Tune {
	out := *t
	out.Bars, out.Notes = slices.Clone(t.Bars), slices.Clone(t.Notes)
	k, cut, dropped := 0, 0, 0
	for i := range out.Notes {
		n := &out.Notes[i]
		if n.Grace {
			next := way.Touches[min(k, len(way.Touches)-1)]
			if n.Fingering = grace(n, next, way, wish); n.Fingering == "" {
				dropped++
			}
			continue
		}
		touch := way.Touches[k]
		k++
		n.Fingering = ""
		if len(touch.Places) > 0 {
			n.Fingering = spell(touch, n.Shake)
		}
		if touch.Cut {
			cut++
		}
	}
	if cut > 0 {
		p.say("of %s only the top note is played, since no one breath has the others", counted(cut, "chord", "chords"))
	}
	if dropped > 0 {
		p.say("%s left out, since this harp lacks them", counted(dropped, "grace note is", "grace notes are"))
	}
	return &out
}

// grace fingers a grace note, as near to the note it leans on as it can; "" for
// one the harp lacks.
func grace(n *melody.Note, next harp.Touch, way *harp.Way, wish harp.Wish) string {
	if len(next.Places) == 0 {
		return ""
	}
	best, least := "", 0.0
	for _, place := range way.Harp.Find(n.Top().Midi + 12*way.Octave) {
		touch := harp.Touch{Places: []harp.Place{place}}
		if cost := touch.Cost(next); wish.Allows([]harp.Touch{touch}) && (best == "" || cost < least) {
			best, least = spell(touch, false), cost
		}
	}
	return best
}

// octaveApart is a note so many octaves from where it is played, as tab; "" where
// the harp lacks it too.
func octaveApart(n *melody.Note, octaves int, way *harp.Way, wish harp.Wish) string {
	return grace(&melody.Note{Pitches: []melody.Pitch{{Midi: n.Top().Midi + 12*octaves}}}, harp.Touch{Places: []harp.Place{{Hole: 5, Breath: harp.Blow}}}, way, wish)
}
