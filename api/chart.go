package api

import (
	"cmp"
	"net/url"
	"strconv"
	"strings"

	"reedlark/openapi"
	"reedlark/tab/harp"
)

// Harps lists the keys, registers, layouts and tunings there are. The links
// lead to the chart of each harp.
func Harps() openapi.Harps {
	out := openapi.Harps{Registers: harp.Registers(), Layouts: harp.Layouts(), Tunings: harp.Tunings()}
	for _, name := range harp.KeyNames() {
		out.Keys = append(out.Keys, openapi.HarpLink{Key: name, Href: "/v1/harps/" + url.PathEscape(name)})
	}
	return out
}

// Chart is everything that can be played on one harp. Of the request it takes
// harp, layout, tuning and A4. The error is a *CallError of kind NotFound where
// there is no such harp.
func Chart(r Request) (openapi.Chart, error) {
	h, err := r.instrument()
	if err != nil {
		return openapi.Chart{}, err
	}
	out := openapi.Chart{Key: h.Key.String(), Layout: h.Layout.Name, Tuning: string(h.Tuning), A4: h.A4}
	for _, hole := range h.Chart() {
		out.Holes = append(out.Holes, chartHole(hole))
	}
	for n := 1; n <= positions; n++ {
		out.Positions = append(out.Positions, openapi.PositionKey{Position: n, Key: h.Key.SongKey(n)})
	}
	return out, nil
}

// HarpNamed is the request for the chart of a harp in this key, other settings
// as they are.
func (r Request) HarpNamed(key string) (Request, error) {
	if err := r.Set("harp", key); err != nil {
		p, _ := find("harp")
		return r, &CallError{Kind: NotFound, Detail: "there is no harp " + shown(key), Parameter: "harp", Allowed: p.Allowed}
	}
	return r, nil
}

// instrument is the harp a request names, the usual one where it says nothing.
func (r Request) instrument() (harp.Harp, error) {
	var key harp.Key // the zero Key is a harp in C
	if r.Harp != nil {
		key = *r.Harp
	}
	layout, err := r.Layout.reeds()
	if err != nil {
		return harp.Harp{}, err
	}
	return harp.New(key, layout, harp.Tuning(cmp.Or(r.Tuning, string(harp.Equal))), r.A4)
}

func (l Layout) reeds() (harp.Layout, error) {
	if l.Blow != nil {
		return harp.CustomLayout(l.Blow, l.Draw)
	}
	return harp.LayoutByName(cmp.Or(l.Name, "richter"))
}

func chartHole(h harp.Hole) openapi.Hole {
	out := openapi.Hole{Hole: h.Number, Blow: pitch(h.Blow), Draw: pitch(h.Draw), Bends: []openapi.Pitch{}}
	for _, b := range h.Bends {
		out.Bends = append(out.Bends, pitch(b))
	}
	if h.Over != nil {
		over := openapi.Over(pitch(*h.Over))
		out.Over = &over
	}
	return out
}

func pitch(p harp.Place) openapi.Pitch {
	return openapi.Pitch{
		Tab: sign(p), Name: p.Pitch.Name, Midi: p.Pitch.Midi,
		Cents: p.Pitch.Cents, Hz: p.Pitch.Hz, Rare: p.Rare,
	}
}

// sign writes a place in the signs convention: "4", "-3//", "6*".
func sign(p harp.Place) string {
	text := strconv.Itoa(p.Hole)
	if p.Breath == harp.Draw {
		text = "-" + text
	}
	switch p.Technique {
	case harp.Bend:
		text += strings.Repeat("/", p.Semitones)
	case harp.Over:
		text += "*"
	}
	return text
}
