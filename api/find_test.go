package api_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// A C lies on blow 1 of a harp in C, draw 2 of one in F and draw 3 of one in Db;
// a song in G on a harp in C is in second position (common practice, no source).
func TestFindAMelody(t *testing.T) {
	found, err := api.Find(api.Defaults(), "C", "")
	require.NoError(t, err)
	tabs := map[string]string{}
	for _, w := range found.Ways {
		tabs[w.Harp] = w.Tab
	}
	assert.Equal(t, []string{"1", "-2", "-3"}, []string{tabs["C"], tabs["F"], tabs["Db"]})

	found, err = api.Find(api.Defaults(), "C4 D4 F#4", "G")
	require.NoError(t, err)
	assert.Equal(t, 12, len(found.Ways)+len(found.None))
	for _, w := range found.Ways {
		if w.Harp == "C" {
			assert.Equal(t, api.Way{Harp: "C", Position: 2, Bends: 1, Tab: "1 -1 -2/"}, w)
		}
	}

	found, err = api.Find(api.Defaults(), "G4 A4 B4 C5 D5 E5 F#5 G5", "")
	require.NoError(t, err)
	assert.Equal(t, "G", found.Key)
	assert.Equal(t, api.Way{Harp: "G", Position: 1, Tab: "4 -4 5 -5 6 -6 -7 7"}, found.Ways[0])
}

func TestAMelodyThatIsNone(t *testing.T) {
	var call *api.CallError
	_, err := api.Find(api.Defaults(), "C4 X D4", "")
	require.ErrorAs(t, err, &call)
	assert.Contains(t, call.Detail, `at character 4: "X" is no note`)
	_, err = api.Find(api.Defaults(), "C4", "H")
	require.ErrorAs(t, err, &call)
	assert.Equal(t, "key", call.Parameter)
}
