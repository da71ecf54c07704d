package api_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
)

// search is a search with some parameters.
func search(t *testing.T, pairs ...string) api.Search {
	t.Helper()
	s := api.NewSearch(api.FindLimit)
	for i := 0; i < len(pairs); i += 2 {
		require.NoError(t, s.Set(pairs[i], pairs[i+1]))
	}
	return s
}

// found looks for a melody.
func found(t *testing.T, pairs ...string) (openapi.Finding, map[string]openapi.FindWay) {
	t.Helper()
	f, err := api.Find(context.Background(), search(t, pairs...))
	require.NoError(t, err)
	by := map[string]openapi.FindWay{}
	for _, w := range f.Ways {
		by[w.Harp] = w
	}
	return f, by
}

// A C lies on blow 1 of a harp in C, draw 2 of one in F and draw 3 of one in Db;
// a song in G on a harp in C is in second position (common practice, no source).
func TestFindAMelody(t *testing.T) {
	_, by := found(t, "melody", "C C")
	assert.Equal(t, []string{"1 1", "-2 -2", "-3 -3"}, []string{by["C"].Tab, by["F"].Tab, by["Db"].Tab})

	f, by := found(t, "melody", "C4 D4 F#4", "key", "G")
	assert.Equal(t, 12, len(f.Ways)+len(f.Nowhere))
	w := by["C"]
	assert.Equal(t, "1 -1 -2/", w.Tab)
	assert.Equal(t, [4]int{2, 0, 1, 1}, [4]int{w.Position, w.Octave, w.Bends, w.Semitones})
	assert.Empty(t, f.Nearest)

	f, _ = found(t, "melody", "G4:1 A4:1/2 B4:1/2 C5:2 | D5 r E5 F#5 G5:4")
	assert.Equal(t, "G", f.Key)
	assert.Equal(t, "G", f.Ways[0].Harp)
	assert.Equal(t, "4 {-4 5} -5- | 6 r -6 -7 7--- |", f.Ways[0].Tab)
}

func TestFindWithin(t *testing.T) {
	f, _ := found(t, "melody", "G4 A4 B4 C5", "have", "D, low F,D", "limit", "1")
	assert.Len(t, f.Ways, 1)
	assert.Subset(t, []string{"D", "low F"}, []string{f.Ways[0].Harp})

	f, by := found(t, "melody", "G4 Bb4 G4", "in_position", "2", "allow_bends", "none", "octave", "0", "allow_overs", "false")
	assert.Empty(t, by)
	assert.Equal(t, []openapi.Near{{Harp: "C", Missing: []string{"Bb4"}}}, f.Nearest)
	assert.Len(t, f.Nowhere, 12)

	f, _ = found(t, "melody", "C0 C8", "transpose", "1")
	assert.Empty(t, f.Ways)
	assert.Len(t, f.Nearest, 3)
}

func TestAMelodyThatIsNone(t *testing.T) {
	var call *api.CallError
	_, err := api.Find(context.Background(), search(t, "melody", "C4 X D4"))
	require.ErrorAs(t, err, &call)
	assert.Contains(t, call.Detail, `at character 4: "X" is not a note`)
	s := api.NewSearch(1)
	for name, value := range map[string]string{
		"key": "H", "octave": "5", "limit": "0", "have": "C,,G", "allow_bends": "some", "in_position": "13", "transpose": "25",
	} {
		require.ErrorAs(t, s.Set(name, value), &call, name)
		assert.Equal(t, name, call.Parameter)
		assert.Equal(t, api.NotAllowed, call.Kind)
	}
}

func TestFindFromJSONAndQuery(t *testing.T) {
	a, err := api.FindFromQuery("melody=C4:2+%7C+r&have=C,G&octave=1&allow_overs=false&a4=442&layout=solo")
	require.NoError(t, err)
	b, err := api.FindFromJSON([]byte(`{"melody":"C4:2 | r","have":"C,G","octave":1,"allow_overs":false,"a4":442,"layout":"solo","key":null}`))
	require.NoError(t, err)
	assert.Equal(t, a, b)
	for _, bad := range []string{`{}`, `{"melody":null}`, `{"melody":1}`, `{"melody":"C","tab":"4"}`, `{"melody":"C","octave":"1"}`, `{"melody":"C","limit":"3"}`} {
		_, err := api.FindFromJSON([]byte(bad))
		assert.Error(t, err, bad)
	}
}
