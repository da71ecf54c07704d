package api

import (
	"cmp"
	"strings"

	"reedlark/tab/harp"
)

// Finding is where a melody lies on the twelve harps.
type Finding struct {
	Key  string   `json:"key"`     // of the song, for the positions
	Ways []Way    `json:"ways"`    // the easiest first
	None []string `json:"nowhere"` // harps on which it is not to be had
}

// Way is a melody on one harp.
type Way struct {
	Harp     string `json:"harp"`
	Position int    `json:"position"` // 1 to 12
	Octave   int    `json:"octave"`   // octaves above where it is written
	Bends    int    `json:"bends"`
	Overs    int    `json:"overs"`
	Tab      string `json:"tab"` // in signs
}

// Find looks for the harps that play a melody of notes such as "C4 D4 F#4". key
// is that of the song; "" takes the last note for the key note. Of the request
// it takes layout, tuning and A4. The error is a *CallError that names every
// word that is no note and its place.
func Find(r Request, melody, key string) (Finding, error) {
	notes, err := harp.ParseMelody(melody)
	if err != nil {
		return Finding{}, &CallError{
			Kind: NotAllowed, Parameter: "melody",
			Detail: "the melody is not read: " + strings.ReplaceAll(err.Error(), "\n", "; "),
		}
	}
	home := notes[len(notes)-1]
	if key != "" {
		k, err := harp.ParseKey(key)
		if err != nil {
			return Finding{}, &CallError{Kind: NotAllowed, Parameter: "key", Allowed: list(harp.KeyNames()), Detail: "there is no key " + shown(key)}
		}
		home = k.Tonic()
	}
	layout, err := r.Layout.reeds()
	if err != nil {
		return Finding{}, err
	}
	ways, err := harp.Ways(notes, layout, harp.Tuning(cmp.Or(r.Tuning, string(harp.Equal))), r.A4)
	if err != nil {
		return Finding{}, err
	}
	return finding(ways, home), nil
}

func finding(ways []harp.Way, home int) Finding {
	out := Finding{Key: harp.KeyNames()[home%12], Ways: []Way{}, None: []string{}}
	found := map[harp.Key]bool{}
	for _, w := range ways {
		found[w.Harp.Key] = true
		out.Ways = append(out.Ways, Way{
			Harp: w.Harp.Key.String(), Position: w.Harp.Key.Position(home), Octave: w.Octave,
			Bends: w.Bends, Overs: w.Overs, Tab: signs(w.Places),
		})
	}
	for _, k := range harp.Keys() {
		if !found[k] {
			out.None = append(out.None, k.String())
		}
	}
	return out
}

func signs(places []harp.Place) string {
	words := make([]string, len(places))
	for i, p := range places {
		words[i] = sign(p)
	}
	return strings.Join(words, " ")
}
