package batch

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"reedlark/api"
)

// Version is one way a page is played. The zero Version is as the page says.
type Version struct {
	Harp  string // as api.Request has it; "" for the page's own
	Tempo Tempo
}

// Tempo is a share of the page's own tempo, or beats a minute. Both are 0 for
// the page's own tempo.
type Tempo struct {
	Percent float64 // of the page's tempo
	Beats   float64 // a minute
}

// allHarps is the word for the twelve keys.
const allHarps = "all"

// Versions is every harp at every tempo, in that order; each once; of an
// empty list the page's own. Harps are as the parameter harp has them, or the word all; tempos
// are as the parameter tempo has them, or in percent. The error is an
// *api.CallError.
func Versions(harps, tempos []string) ([]Version, error) {
	keys, err := readHarps(harps)
	if err != nil {
		return nil, err
	}
	speeds, err := readTempos(tempos)
	if err != nil {
		return nil, err
	}
	var out []Version
	for _, key := range keys {
		for _, speed := range speeds {
			out = append(out, Version{key, speed})
		}
	}
	return out, nil
}

func readHarps(texts []string) ([]string, error) {
	if len(texts) == 0 {
		return []string{""}, nil
	}
	var out []string
	for _, text := range texts {
		if strings.EqualFold(strings.TrimSpace(text), allHarps) {
			for _, key := range api.Harps().Keys {
				out = append(out, key.Key)
			}
			continue
		}
		r := api.Defaults()
		if err := r.Set("harp", text); err != nil {
			return nil, err
		}
		out = append(out, r.Harp.String())
	}
	return once(out), nil
}

func readTempos(texts []string) ([]Tempo, error) {
	if len(texts) == 0 {
		return []Tempo{{}}, nil
	}
	out := make([]Tempo, len(texts))
	for i, text := range texts {
		var err error
		if out[i], err = readTempo(strings.TrimSpace(text)); err != nil {
			return nil, err
		}
	}
	return once(out), nil
}

// once leaves out what is in a list already.
func once[T comparable](list []T) []T {
	seen := map[T]bool{}
	return slices.DeleteFunc(list, func(v T) bool {
		before := seen[v]
		seen[v] = true
		return before
	})
}

var percent = regexp.MustCompile(`^(\d{1,4}(?:\.\d{1,3})?)\s*%$`)

func readTempo(text string) (Tempo, error) {
	if !strings.Contains(text, "%") {
		r := api.Defaults()
		err := r.Set("tempo", text)
		return Tempo{Beats: r.Tempo}, err
	}
	found := percent.FindStringSubmatch(text)
	if found == nil {
		return Tempo{}, &api.CallError{
			Kind: api.Malformed, Parameter: "tempo",
			Detail: fmt.Sprintf("tempo is %q, but it may be %s, or a share of the page's tempo as 70%%", text, api.ParameterNamed("tempo").Allowed),
		}
	}
	share, err := strconv.ParseFloat(found[1], 64)
	return Tempo{Percent: share}, err
}

// Request is what the version asks of a page whose own tempo is own beats a
// minute; own is not looked at unless the version has a share of it. The error
// is an *api.CallError.
func (v Version) Request(r api.Request, own float64) (api.Request, error) {
	if v.Harp != "" {
		if err := r.Set("harp", v.Harp); err != nil {
			return r, err
		}
	}
	switch {
	case v.Tempo.Beats != 0:
		r.Tempo = v.Tempo.Beats
	case v.Tempo.Percent != 0 && v.Tempo.Percent != 100:
		tempo := own * v.Tempo.Percent / 100
		if err := r.Set("tempo", decimal(tempo)); err != nil {
			return r, &api.CallError{
				Kind: api.NotAllowed, Parameter: "tempo",
				Detail: fmt.Sprintf("%s %% of %s beats a minute is %s, but a tempo may be %s", decimal(v.Tempo.Percent), decimal(own), decimal(tempo), api.ParameterNamed("tempo").Allowed),
			}
		}
	}
	return r, nil
}

// HarpMark is the harp as it stands in the name of a file: "Bb", "low-F",
// "F-sharp", since a # would end the address of a link.
func (v Version) HarpMark() string {
	return strings.NewReplacer(" ", "-", "#", "-sharp").Replace(v.Harp)
}

// Mark is the tempo as it stands in the name of a file: "70percent", "90bpm".
func (t Tempo) Mark() string {
	if t.Percent != 0 {
		return decimal(t.Percent) + "percent"
	}
	return decimal(t.Beats) + "bpm"
}

// String is the tempo as it was asked for: "70%", "90", "" for the page's own.
func (t Tempo) String() string {
	if t == (Tempo{}) {
		return ""
	}
	if t.Percent != 0 {
		return decimal(t.Percent) + "%"
	}
	return decimal(t.Beats)
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Names is what each version adds to the name of a page, so that no two are the
// same: the harp where there are several, and so the tempo. The first part is
// empty or begins with a dash.
func Names(versions []Version) []string {
	harps, tempos := map[string]bool{}, map[Tempo]bool{}
	for _, v := range versions {
		harps[v.Harp], tempos[v.Tempo] = true, true
	}
	out := make([]string, len(versions))
	for i, v := range versions {
		if len(harps) > 1 {
			out[i] += "-" + v.HarpMark()
		}
		if len(tempos) > 1 {
			out[i] += "-" + v.Tempo.Mark()
		}
	}
	return out
}
