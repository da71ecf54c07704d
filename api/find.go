package api

import (
	"context"
	"strings"

	"reedlark/openapi"
	"reedlark/tab/arrange"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// mostNear is how many of the harps are listed that lack notes.
const mostNear = 3

// Find looks for the harps that play the melody of a search. It stops when ctx
// ends. The error is a *CallError that names every word that cannot be read and
// its place.
func Find(ctx context.Context, s Search) (openapi.Finding, error) {
	t, err := melody.Parse(s.Melody)
	if err != nil {
		return openapi.Finding{}, &CallError{
			Kind: NotAllowed, Parameter: "melody",
			Detail: "the melody cannot be read: " + strings.ReplaceAll(err.Error(), "\n", "; "),
		}
	}
	o, err := s.options(t)
	if err != nil {
		return openapi.Finding{}, err
	}
	ways := arrange.Ways(t, o)
	out := openapi.Finding{Key: harp.KeyNames()[arrange.Song(t, o)%12], Ways: []openapi.FindWay{}, Nowhere: nowhere(o.Harps, ways), Nearest: []openapi.Near{}}
	for _, w := range ways {
		if err := ctx.Err(); err != nil {
			return openapi.Finding{}, err
		}
		if len(w.Missing) > 0 || len(out.Ways) >= s.Limit {
			continue
		}
		rows, err := arrange.Rows(t, w, o)
		if err != nil {
			return openapi.Finding{}, err
		}
		n := newWay(t, w, o)
		out.Ways = append(out.Ways, openapi.FindWay{
			Harp: n.Harp, Position: n.Position, Octave: n.Octave, Bends: n.Bends, Overs: n.Overs,
			Semitones: n.Semitones, Missing: n.Missing, Cost: n.Cost, Tab: rows,
		})
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
func nearest(t *melody.Tune, ways []harp.Way, o arrange.Options) []openapi.Near {
	out := []openapi.Near{}
	for _, w := range ways[:min(len(ways), mostNear)] {
		out = append(out, openapi.Near{Harp: w.Harp.Key.String(), Octave: w.Octave, Missing: arrange.Missing(t, w, o)})
	}
	return out
}

func newWay(t *melody.Tune, w harp.Way, o arrange.Options) openapi.Way {
	return openapi.Way{
		Harp: w.Harp.Key.String(), Position: w.Position, Octave: w.Octave, Bends: w.Bends, Overs: w.Overs,
		Semitones: w.Semitones, Missing: arrange.Missing(t, w, o), Cost: rounded(w.Cost),
	}
}
