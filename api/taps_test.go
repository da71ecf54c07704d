package api_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
	"reedlark/tab/diag"
)

// rhythmOf answers a request in JSON.
func rhythmOf(body string) (openapi.Rhythm, error) {
	q, err := api.RhythmFromJSON([]byte(body))
	if err != nil {
		return openapi.Rhythm{}, err
	}
	return api.NewDoor().Rhythm(context.Background(), q)
}

// tapsAt are taps for note after note.
func tapsAt(seconds ...float64) string {
	var out []string
	for i, at := range seconds {
		out = append(out, fmt.Sprintf(`{"note":%d,"at":%g}`, i, at))
	}
	return "[" + strings.Join(out, ",") + "]"
}

func TestRhythmRefused(t *testing.T) {
	for name, c := range map[string]struct {
		body      string
		kind      api.CallKind
		parameter string
	}{
		"no taps":                  {`{"tab":"4 5"}`, api.Malformed, "taps"},
		"null taps":                {`{"tab":"4 5","taps":null}`, api.Malformed, "taps"},
		"taps no list":             {`{"tab":"4 5","taps":1}`, api.Malformed, "taps"},
		"twice":                    {`{"tab":"4 5","taps":[],"taps":[]}`, api.Malformed, "taps"},
		"a tap that is none":       {`{"tab":"4 5","taps":[{"note":0,"at":0},7]}`, api.Malformed, "taps[1]"},
		"an unknown member":        {`{"tab":"4 5","taps":[{"note":0,"at":0,"x":1}]}`, api.Malformed, "taps[0]"},
		"a member twice":           {`{"tab":"4 5","taps":[{"note":0,"at":0,"at":1}]}`, api.Malformed, "taps[0]"},
		"a word for a time":        {`{"tab":"4 5","taps":[{"note":0,"at":"0"}]}`, api.Malformed, "taps[0]"},
		"no time":                  {`{"tab":"4 5","taps":[{"note":0}]}`, api.Malformed, "taps[0]"},
		"a time past all":          {`{"tab":"4 5","taps":[{"note":0,"at":1e999}]}`, api.Malformed, "taps[0]"},
		"no tab":                   {`{"taps":[{"note":0,"at":0}]}`, api.Malformed, "tab"},
		"an unknown parameter":     {`{"tab":"4 5","taps":[],"tapes":1}`, api.Malformed, "tapes"},
		"clicks no list":           {`{"tab":"4 5","taps":[],"clicks":[null]}`, api.Malformed, "clicks"},
		"whole no flag":            {`{"tab":"4 5","taps":[],"whole":"no"}`, api.Malformed, "whole"},
		"too few":                  {`{"tab":"4 5 6","taps":` + tapsAt(0, 1) + `}`, api.NotAllowed, "taps[2]"},
		"none":                     {`{"tab":"4 5 6","taps":[]}`, api.NotAllowed, "taps[0]"},
		"too many":                 {`{"tab":"4 5","taps":` + tapsAt(0, 1, 2) + `}`, api.NotAllowed, "taps[2]"},
		"not rising":               {`{"tab":"4 5 6","taps":` + tapsAt(0, 1, 1) + `}`, api.NotAllowed, "taps[2]"},
		"before 0":                 {`{"tab":"4 5","taps":` + tapsAt(-1, 1) + `}`, api.NotAllowed, "taps[0]"},
		"ends first":               {`{"tab":"4","taps":[{"note":0,"at":1,"until":1}]}`, api.NotAllowed, "taps[0]"},
		"ends at 0":                {`{"tab":"4","taps":[{"note":0,"at":0,"until":0}]}`, api.NotAllowed, "taps[0]"},
		"another note":             {`{"tab":"4 5 6","taps":[{"note":0,"at":0},{"note":2,"at":1},{"note":1,"at":2}]}`, api.NotAllowed, "taps[1]"},
		"half a note":              {`{"tab":"4","taps":[{"note":0.5,"at":0}]}`, api.NotAllowed, "taps[0]"},
		"no such pass":             {`{"tab":"4","taps":[{"note":0,"pass":2,"at":0}]}`, api.NotAllowed, "taps[0]"},
		"half a pass":              {`{"tab":"4 5 x2","taps":[{"note":0,"at":0},{"note":1,"at":1},{"note":0,"pass":2,"at":2}]}`, api.NotAllowed, "taps[3]"},
		"clicks that fall":         {`{"tab":"4","taps":` + tapsAt(3) + `,"clicks":[0,1,1]}`, api.NotAllowed, "clicks[2]"},
		"one row and to":           {`{"tab":"4\n5","taps":` + tapsAt(3) + `,"whole":false,"from":"L1","to":"L1"}`, api.NotAllowed, "to"},
		"one row by beats":         {`{"tab":"4\n5","taps":` + tapsAt(3) + `,"whole":false,"from":0}`, api.NotAllowed, "from"},
		"one row, which":           {`{"tab":"4\n5","taps":` + tapsAt(3) + `,"whole":false}`, api.NotAllowed, "from"},
		"one row that is no row":   {`{"tab":"4\n5","taps":` + tapsAt(3) + `,"whole":false,"from":"L9"}`, api.NotAllowed, "from"},
		"notes count from the top": {`{"tab":"4\n5","taps":` + tapsAt(3) + `,"whole":false,"from":"L2"}`, api.NotAllowed, "taps[0]"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := rhythmOf(c.body)
			var call *api.CallError
			require.ErrorAs(t, err, &call)
			assert.Equal(t, c.kind, call.Kind, call.Detail)
			assert.Equal(t, c.parameter, call.Parameter, call.Detail)
			assert.NotEmpty(t, call.Detail)
		})
	}
	var tab *api.TabError
	_, err := rhythmOf(`{"tab":"4 11","taps":[]}`)
	assert.True(t, errors.As(err, &tab), "a page with errors")
}

func TestRhythmAnswers(t *testing.T) {
	for name, c := range map[string]struct{ body, want string }{
		"even":             {`{"tab":"4 5 6 7","tempo":120,"metre":"4/4","taps":` + tapsAt(1, 1.5, 2, 2.5) + `}`, "4 5 6 7"},
		"integers as 1.0":  {`{"tab":"4 5","tempo":120,"metre":"2/4","taps":[{"note":0.0,"pass":null,"at":1},{"note":1.0,"pass":1.0,"at":1.5,"until":null}]}`, "4 5"},
		"clicks":           {`{"tab":"4 5 6","metre":"4/4","clicks":[0,0.5,1,1.5],"taps":` + tapsAt(2.03, 3.04, 3.52) + `}`, "4- 5 6"},
		"one row":          {`{"tab":"4 5\n6 7\n8","tempo":60,"metre":"4/4","whole":false,"from":"L2","taps":[{"note":2,"at":3},{"note":3,"at":6}]}`, "4 5\n6-- 7\n8"},
		"both passes":      {`{"tab":"4 5 x2\n6","tempo":60,"metre":"3/4","taps":[{"note":0,"at":1},{"note":1,"at":3},{"note":0,"pass":2,"at":4},{"note":1,"pass":2,"at":6},{"note":2,"at":7}]}`, "4- 5 x2\n6--"},
		"one pass":         {`{"tab":"4 5 x2\n6","tempo":60,"metre":"3/4","taps":[{"note":0,"at":1},{"note":1,"at":3},{"note":2,"at":4}]}`, "4- 5 x2\n6--"},
		"a rest":           {`{"tab":"4 5 6","tempo":60,"metre":"4/4","taps":[{"note":0,"at":1,"until":2},{"note":1,"at":2,"until":3},{"note":2,"at":4,"until":5}]}`, "4 5 r 6"},
		"the page's tempo": {`{"tab":"Tempo: 60\nMetre: 4/4\n4 5 6","taps":` + tapsAt(1, 3, 4) + `}`, "Tempo: 60\nMetre: 4/4\n4- 5 6"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := rhythmOf(c.body)
			require.NoError(t, err)
			assert.Equal(t, c.want, got.Tab)
			assert.Nil(t, got.RunnerUp)
		})
	}
}

// codes are those of an answer's diagnostics.
func codesOf(all []diag.Diagnostic) (out []diag.Code) {
	for _, d := range all {
		out = append(out, d.Code)
	}
	return out
}

// applied is a text with an edit made, by lines and columns as a caller does it.
func applied(text string, e diag.Edit) string {
	source := diag.NewSource(text)
	for _, c := range slices.Backward(e.Changes) {
		at := source.Span(c.Place)
		text = text[:at.Start] + c.Text + text[at.End:]
	}
	return text
}

// Nobody said how fast: there is a question, with an edit for each answer.
func TestRhythmWithoutATempo(t *testing.T) {
	got, err := rhythmOf(`{"tab":"Harp: A\n4 -4 5 6 | 6 6 5\nla la la","taps":` + tapsAt(1, 1.5, 2, 2.5, 3, 3.5, 4) + `}`)
	require.NoError(t, err)
	assert.Equal(t, "Harp: A\n4 -4 5 6 | 6 6 5\nla la la", got.Tab)
	assert.InDelta(t, 120, got.Tempo, 1)
	require.NotNil(t, got.RunnerUp)
	i := slices.Index(codesOf(got.Diagnostics), diag.TempoGuessed)
	require.GreaterOrEqual(t, i, 0)
	require.Len(t, got.Diagnostics[i].Edits, 2)
	half := applied(got.Tab, got.Diagnostics[i].Edits[0])
	assert.Equal(t, "Harp: A\n{4 -4} {5 6} | {6 6} 5\nla la la", half)
	double := applied(got.Tab, got.Diagnostics[i].Edits[1])
	assert.Equal(t, "Harp: A\n4- -4- 5- 6- | 6- 6- 5-\nla la la", double)
	i = slices.Index(codesOf(got.Diagnostics), diag.TempoTapped)
	require.GreaterOrEqual(t, i, 0)
	assert.Contains(t, applied(got.Tab, got.Diagnostics[i].Edits[0]), "Tempo: 120\n")
}

// A tempo that was missed by far is a warning, and an edit writes the right one.
func TestRhythmAtAnotherTempo(t *testing.T) {
	const page = "Tempo: 120\\nMetre: 4/4\\n4 -4 5 6 6 6 5 5 4 4 -4 -4 5"
	at := []float64{1}
	for range 12 {
		at = append(at, at[len(at)-1]+.75)
	}
	got, err := rhythmOf(`{"tab":"` + page + `","taps":` + tapsAt(at...) + `}`)
	require.NoError(t, err)
	i := slices.Index(codesOf(got.Diagnostics), diag.TempoOff)
	require.GreaterOrEqual(t, i, 0)
	assert.Contains(t, applied(got.Tab, got.Diagnostics[i].Edits[0]), "Tempo: 80\nMetre: 4/4\n4 -4 5 6 6")
}

// Passes that differ are told, and one of them is written.
func TestRhythmOfTwoPasses(t *testing.T) {
	got, err := rhythmOf(`{"tab":"4 5 6 x2","tempo":60,"metre":"4/4","taps":[{"note":0,"at":1},{"note":1,"at":3},{"note":2,"at":4},
		{"note":0,"pass":2,"at":5},{"note":1,"pass":2,"at":6},{"note":2,"pass":2,"at":8}]}`)
	require.NoError(t, err)
	assert.Contains(t, codesOf(got.Diagnostics), diag.PassesDiffer)
}

// What a line cannot say is told on that line, which stays as it was.
func TestRhythmUnwritten(t *testing.T) {
	got, err := rhythmOf(`{"tab":"words\n4 (5 6)\n7","tempo":60,"metre":"4/4","taps":` + tapsAt(1, 2.5, 3, 4) + `}`)
	require.NoError(t, err)
	assert.Equal(t, "words\n4 (5 6)\n7", got.Tab)
	i := slices.Index(codesOf(got.Diagnostics), diag.RhythmUnwritten)
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, 2, got.Diagnostics[i].Line)
}

func FuzzRhythmFromJSON(f *testing.F) {
	f.Add(`{"tab":"4 5","taps":[{"note":0,"at":1,"until":2},{"note":1,"pass":1,"at":3}],"clicks":[0,1],"whole":true}`)
	f.Add(`{"taps":[{"note":1e300,"at":-0}],"clicks":null}`)
	f.Fuzz(func(t *testing.T, body string) {
		q, err := api.RhythmFromJSON([]byte(body))
		if err != nil {
			assert.Equal(t, api.CallFailure, api.FailureOf(err))
			return
		}
		_, err = api.NewDoor().Rhythm(context.Background(), q)
		assert.NotEqual(t, api.OurFailure, api.FailureOf(err), "%v", err)
	})
}

// A page that is played as far as it can be read has its rhythm written too.
func TestRhythmOfAPartialPage(t *testing.T) {
	got, err := rhythmOf(`{"tab":"4 5 Q 6","unread":"skip","tempo":60,"metre":"4/4","taps":` + tapsAt(1, 3, 4) + `}`)
	require.NoError(t, err)
	assert.Equal(t, "4- 5 Q 6", got.Tab)
}
