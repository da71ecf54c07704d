package api

import (
	"cmp"
	"strings"

	"reedlark/openapi"
	"reedlark/tab/harp"
)

// WhereNote is where a written note such as F#5 lies on each of the twelve
// harps. Of the request it takes layout, tuning and A4. The error is a
// *CallError of kind NotFound where there is no such note.
func WhereNote(r Request, name string) (openapi.WhereNote, error) {
	midi, err := harp.ParseNote(name)
	if err != nil {
		return openapi.WhereNote{}, &CallError{
			Kind: NotFound, Detail: "there is no note " + shown(name), Parameter: "note",
			Allowed: "a letter from A to G, # or b where it has one, and an octave, as in C4, F#5 or Bb3",
		}
	}
	layout, err := r.Layout.reeds()
	if err != nil {
		return openapi.WhereNote{}, err
	}
	found, err := harp.Where(midi, layout, harp.Tuning(cmp.Or(r.Tuning, string(harp.Equal))), r.A4)
	if err != nil {
		return openapi.WhereNote{}, err
	}
	out := openapi.WhereNote{Note: noteAsWritten(name, midi), Midi: midi, Hz: harp.Hz(midi, r.A4)}
	for _, f := range found {
		out.Harps = append(out.Harps, openapi.HarpPlaces{Key: f.Harp.Key.String(), Places: places(f.Places)})
	}
	return out, nil
}

// NoteBeside is the note so many semitones away; empty where there is none.
func NoteBeside(midi, semitones int) string {
	if n := midi + semitones; n >= 0 && n <= 127 {
		return harp.NoteName(n, true)
	}
	return ""
}

// noteAsWritten is the usual spelling of a note: with a sharp where it was
// written with one, else with a flat where it needs one.
func noteAsWritten(name string, midi int) string {
	return harp.NoteName(midi, !strings.ContainsAny(name, "#sS♯"))
}

// places is never nil, so that JSON has a list.
func places(found []harp.Place) []openapi.Place {
	out := make([]openapi.Place, len(found))
	for i, p := range found {
		out[i] = openapi.Place{
			Tab: sign(p), Hole: p.Hole, Breath: openapi.PlaceBreath(p.Breath),
			Technique: openapi.PlaceTechnique(p.Technique), Semitones: p.Semitones, Rare: p.Rare,
		}
	}
	return out
}
