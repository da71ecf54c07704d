package main

import (
	"fmt"
	"strings"

	"reedlark/api"
	"reedlark/tab/diag"
)

// summary counts what became of many sounds.
type summary struct {
	Unreadable int     `json:"unreadable"` // pages, of which nothing can be made
	Made       int     `json:"made"`
	Unchanged  int     `json:"unchanged"` // there already
	Refused    int     `json:"refused"`   // their pages are at fault
	Failed     int     `json:"failed"`
	Left       int     `json:"left"`    // not reached
	Seconds    float64 `json:"seconds"` // of sound made
	goesOn     bool    // what was made is remembered
}

func (s *summary) count(o outcome) {
	s.Left--
	switch {
	case o.unchanged:
		s.Unchanged++
	case o.failure == api.NoFailure:
		s.Made++
		s.Seconds += o.seconds
	case o.failure == api.OurFailure:
		s.Failed++
	default:
		s.Refused++
	}
}

// String is a line such as "12 sounds made, 3 there already".
func (s summary) String() string {
	left := "not reached"
	if s.goesOn {
		left += "; run the command again to go on"
	}
	parts := []string{fmt.Sprintf("%d %s made", s.Made, plural(s.Made, "sound"))}
	for _, more := range []struct {
		n    int
		text string
	}{
		{s.Unchanged, "there already"},
		{s.Refused, "refused"},
		{s.Failed, "failed"},
		{s.Unreadable, plural(s.Unreadable, "page") + " could not be read"},
		{s.Left, left},
	} {
		if more.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", more.n, more.text))
		}
	}
	return strings.Join(parts, ", ")
}

// soundLine is what --json says of one sound.
type soundLine struct {
	Page        string            `json:"page"`
	Sound       string            `json:"sound,omitempty"`
	Harp        string            `json:"harp,omitempty"`  // where one is asked for
	Tempo       string            `json:"tempo,omitempty"` // likewise
	Became      string            `json:"became"`          // made, unchanged, refused, failed; of a page unreadable
	Seconds     float64           `json:"seconds,omitempty"`
	Diagnostics []diag.Diagnostic `json:"diagnostics"`
	Error       string            `json:"error,omitempty"`
}

func (o outcome) line() soundLine {
	out := soundLine{
		Page: o.job.Name, Sound: o.job.Out, Harp: o.job.Version.Harp, Tempo: o.job.Version.Tempo.String(),
		Became: "made", Seconds: o.seconds, Diagnostics: append([]diag.Diagnostic{}, o.diagnostics...),
	}
	switch {
	case o.unchanged:
		out.Became = "unchanged"
	case o.failure == api.OurFailure:
		out.Became = "failed"
	case o.failure != api.NoFailure:
		out.Became = "refused"
	}
	if o.failure > api.TabFailure {
		out.Error = describe(o.err)
	}
	return out
}
