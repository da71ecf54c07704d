package api_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// An operator's limits are lower than the usual ones, hold for every page and
// are named where they are met.
func TestLoweredLimits(t *testing.T) {
	door := api.NewDoorWithin(api.Limits{Tab: 60, Notes: 9, Duration: 6 * time.Second, Depth: 1, Repeat: 2, Beats: 8, Title: 5})
	cases := []struct{ tab, says string }{
		{"4 -4 5 6 4 -4 5 6 4\n", ""},
		{"4 -4 5 6 4 -4 5 6 4 4\n", "9"},
		{"4" + strings.Repeat(" ,", 31), "60"},
		{"4---- 4---- r-- \n", "0:06"},
		{"{4 {4 4}} 5\n", "1"},
		{"4 x3\n", "2"},
		{"Tempo: 400\n4-------- 5\n", "8"},
		{"Title: Barges\n4\n", "5 characters"},
	}
	for _, c := range cases {
		r := api.Defaults()
		r.Tab = c.tab
		_, err := door.Open(t.Context(), r)
		if c.says == "" {
			assert.NoError(t, err, c.tab)
			continue
		}
		if assert.Error(t, err, c.tab) {
			assert.Contains(t, err.Error(), c.says, c.tab)
		}
		_, err = api.Open(t.Context(), r)
		assert.NoError(t, err, "usually allowed: %s", c.tab)
	}
}

// A limit that a page passes only because of a parameter is named with it, and
// one that it passes by itself is not.
func TestParametersThatPassALimit(t *testing.T) {
	long, notes := strings.Repeat("4 ", 300), strings.Repeat("4 ", 2000)
	cases := []struct{ tab, set, parameter string }{
		{long, "repeat=6", "repeat"},
		{long, "tempo=20 repeat=1", ""}, // 15 minutes to the beat
		{long + "4", "tempo=20", "tempo"},
		{long + "4", "tempo=20 repeat=2", "tempo"},
		{long + "4", "tempo=400 repeat=32", "repeat"},
		{long, "tempo=20 count_in=1", "count_in"},
		{notes, "tempo=400 repeat=11", "repeat"},
		{"Tempo: 20\n" + long + "4", "", "-"},
		{"Tempo: 20\n" + long + "4", "repeat=2", "-"},
	}
	for _, c := range cases {
		r := api.Defaults()
		r.Tab = c.tab
		for _, pair := range strings.Fields(c.set) {
			name, value, _ := strings.Cut(pair, "=")
			require.NoError(t, r.Set(name, value))
		}
		_, err := api.Open(t.Context(), r)
		if c.parameter == "" {
			assert.NoError(t, err, c.set)
			continue
		}
		var refused *api.TabError
		require.ErrorAs(t, err, &refused, c.set)
		assert.Equal(t, strings.Trim(c.parameter, "-"), refused.Parameter, c.set)
		assert.Equal(t, c.parameter != "-", refused.Allowed != "", c.set)
	}
}

func TestLimitsAreNeverRaised(t *testing.T) {
	door := api.NewDoorWithin(api.Limits{Tab: 1 << 30, Notes: 1 << 30, Duration: time.Hour, Depth: 1 << 30, Repeat: 1 << 30, Beats: 1 << 30, Title: 1 << 30})
	for _, page := range []string{
		strings.Repeat("r ", api.MaxTab),
		strings.Repeat("4 ", 2000) + "x11",
		strings.Repeat("r---- ", 1000),
		"{4 {4 {4 {4 {4 4}}}}}",
		"4 x17",
		"4" + strings.Repeat("-", api.MaxBeats),
	} {
		r := api.Defaults()
		r.Tab = page
		_, err := door.Open(t.Context(), r)
		assert.Error(t, err, page[:min(len(page), 40)])
	}
	r := api.Defaults()
	r.Tab = "4 -4 5"
	_, err := door.Open(t.Context(), r)
	require.NoError(t, err)
}
