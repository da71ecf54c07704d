package api

import (
	"context"
	"strings"

	"reedlark/tab/arrange"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// Finding is which harps play a melody.
type Finding struct {
	Key     string    `json:"key"`     // of the song, for the positions
	Ways    []FindWay `json:"ways"`    // lacking nothing, the easiest first
	None    []string  `json:"nowhere"` // harps without such a way
	Nearest []Near    `json:"nearest"` // where there is no way at all: the harps that lack least
}

// Way is a melody on one harp, and what it asks of the player.
type Way struct {
	Harp      string   `json:"harp"`
	Position  int      `json:"position"` // 1 to 12
	Octave    int      `json:"octave"`   // octaves above what sounds
	Bends     int      `json:"bends"`    // notes
	Overs     int      `json:"overs"`    // notes
	Semitones int      `json:"semitones"`
	Missing   []string `json:"missing"` // pitches, each once
	Cost      float64  `json:"cost"`    // only its order has a meaning
}

// FindWay is a way with its tab.
type FindWay struct {
	Way
	Tab string `json:"tab"` // in signs, with its rhythm
}

// Near is a harp that lacks some notes of a melody.
type Near struct {
	Harp    string   `json:"harp"`
	Octave  int      `json:"octave"`
	Missing []string `json:"missing"`
}

// mostNear is how many of the harps are listed that lack notes.
const mostNear = 3

// Find looks for the harps that play the melody of a search. It stops when ctx
// ends. The error is a *CallError that names every word that cannot be read and
// its place.
func Find(ctx context.Context, s Search) (Finding, error) {
	t, err := melody.Parse(s.Melody)
	if err != nil {
		return Finding{}, &CallError{
			Kind: NotAllowed, Parameter: "melody",
			Detail: "the melody cannot be read: " + strings.ReplaceAll(err.Error(), "\n", "; "),
		}
	}
	o, err := s.options(t)
	if err != nil {
		return Finding{}, err
	}
	ways := arrange.Ways(t, o)
	out := Finding{Key: harp.KeyNames()[arrange.Song(t, o)%12], Ways: []FindWay{}, None: nowhere(o.Harps, ways), Nearest: []Near{}}
	for _, w := range ways {
		if err := ctx.Err(); err != nil {
			return Finding{}, err
		}
		if len(w.Missing) > 0 || len(out.Ways) >= s.Limit {
			continue
		}
		rows, err := arrange.Rows(t, w, o)
		if err != nil {
			return Finding{}, err
		}
		out.Ways = append(out.Ways, FindWay{newWay(t, w, o), rows})
	}
	if len(out.Ways) == 0 {
		out.Nearest = nearest(t, ways, o)
	}
	return out, nil
}

// nowhere lists the harps without a way that lacks nothing.
func nowhere(harps []harp.Harp, ways []harp.Way) []string {
	whole := map[harp.Key]bool{}
	for _, w := range ways {
		whole[w.Harp.Key] = len(w.Missing) == 0
	}
	out := []string{}
	for _, h := range harps {
		if !whole[h.Key] {
			out = append(out, h.Key.String())
		}
	}
	return out
}

// nearest lists the ways that lack least.
func nearest(t *melody.Tune, ways []harp.Way, o arrange.Options) []Near {
	out := []Near{}
	for _, w := range ways[:min(len(ways), mostNear)] {
		out = append(out, Near{w.Harp.Key.String(), w.Octave, arrange.Missing(t, w, o)})
	}
	return out
}

func newWay(t *melody.Tune, w harp.Way, o arrange.Options) Way {
	return Way{
		Harp: w.Harp.Key.String(), Position: w.Position, Octave: w.Octave, Bends: w.Bends, Overs: w.Overs,
		Semitones: w.Semitones, Missing: arrange.Missing(t, w, o), Cost: rounded(w.Cost),
	}
}
