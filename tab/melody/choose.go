package melody

import (
	"errors"
	"fmt"
	"strings"
)

// ErrNoMelody is for a file without a note that a melody could have.
var ErrNoMelody = errors.New("there is no melody: the file has no notes with a pitch")

// mostChords is how many of a part's notes may be chords, as one in so many, so
// that it is still a single line.
const mostChords = 10

// Choose picks the part that has the melody: the named one; else the first with
// words; else the highest that is a single line, or the highest of all. It says so
// in the remarks of the part. The error is ErrNoMelody, or names the parts there
// are.
func Choose(parts []*Tune, name string) (*Tune, error) {
	var sounding []*Tune
	for _, t := range parts {
		if t.Sounds() {
			sounding = append(sounding, t)
		}
	}
	if name != "" {
		return named(sounding, name)
	}
	if len(sounding) == 0 {
		return nil, ErrNoMelody
	}
	if len(sounding) == 1 {
		return sounding[0], nil
	}
	chosen, why := likeliest(sounding)
	chosen.said(sounding, why)
	return chosen, nil
}

// named is the part with a name, whatever the case of its letters.
func named(parts []*Tune, name string) (*Tune, error) {
	for _, t := range parts {
		if strings.EqualFold(strings.TrimSpace(t.Part), strings.TrimSpace(name)) {
			if len(parts) > 1 {
				t.said(parts, "as asked for")
			}
			return t, nil
		}
	}
	return nil, fmt.Errorf("there is no part %q; the parts are %s", name, names(parts, nil))
}

// likeliest is the part that is most likely the melody, and why.
func likeliest(parts []*Tune) (*Tune, string) {
	for _, t := range parts {
		if t.Sung() {
			return t, "it has words"
		}
	}
	var best *Tune
	for _, t := range parts {
		if t.single() && (best == nil || best.height() < t.height()) {
			best = t
		}
	}
	if best != nil {
		return best, "it is the highest single line"
	}
	best = parts[0]
	for _, t := range parts[1:] {
		if best.height() < t.height() {
			best = t
		}
	}
	return best, "it is the highest"
}

// single says that a part is a single line: hardly any of its notes are chords.
func (t *Tune) single() bool {
	chords := 0
	for i := range t.Notes {
		if len(t.Notes[i].Pitches) > 1 {
			chords++
		}
	}
	return chords*mostChords <= len(t.Notes)
}

// height is the mean of the top notes, as MIDI notes.
func (t *Tune) height() float64 {
	sum := 0
	for i := range t.Notes {
		sum += t.Notes[i].Top().Midi
	}
	return float64(sum) / float64(max(len(t.Notes), 1))
}

// said remarks what was taken and what was left out.
func (t *Tune) said(parts []*Tune, why string) {
	what := "the melody is a part without a name"
	if t.Part != "" {
		what = fmt.Sprintf("the melody is the part %q", t.Part)
	}
	t.Remarks = append(t.Remarks, fmt.Sprintf("%s (%s); left out: %s", what, why, names(parts, t)))
}

// mostNames is how many parts a message names.
const mostNames = 20

// names lists the names of parts, one of them left out.
func names(parts []*Tune, without *Tune) string {
	var out []string
	for _, t := range parts {
		switch {
		case t == without:
		case t.Part == "":
			out = append(out, "one without a name")
		default:
			out = append(out, fmt.Sprintf("%q", t.Part))
		}
	}
	if more := len(out) - mostNames; more > 0 {
		out = append(out[:mostNames], fmt.Sprintf("and %d more", more))
	}
	if len(out) == 0 {
		return "none that sounds"
	}
	return strings.Join(out, ", ")
}
