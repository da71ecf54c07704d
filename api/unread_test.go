package api_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// TestUnreadSkip: what cannot be read takes no time, or one beat where it was
// counted; the rest plays, and every error is still told.
func TestUnreadSkip(t *testing.T) {
	for _, c := range []struct {
		name, tab string
		beats     []float64 // at which notes start
		code      string
	}{
		{"a word", "4 Q -5 6", []float64{0, 1, 2}, "unknown-word"},
		{"a chord of one hole", "4 44 -5", []float64{0, 1}, "same-hole-twice"},
		{"a counted word", "Metre: 4/4\n4 Q -5 6\ncount: 1 2 3 4", []float64{0, 2, 3}, "unknown-word"},
		{"an open bracket", "4 (5 6\n-4", []float64{0, 1, 2, 3}, "never-closed"},
		{"an open brace", "4 {5 6\n-4", []float64{0, 1, 2, 3}, "never-closed"},
		{"counts that do not fit", "Metre: 4/4\n4 5 6 -4\ncount: 1 2 3", []float64{0, 1, 2, 3}, "count-mismatch"},
		{"an open repeat", "|: 4 5", []float64{0, 1}, "never-closed"},
		{"too many rounds", "4 5 x20", []float64{0, 1}, "repeat-count"},
	} {
		t.Run(c.name, func(t *testing.T) {
			req := api.Defaults()
			require.NoError(t, req.Set("tab", c.tab))
			_, err := api.Open(context.Background(), req)
			require.Error(t, err)
			require.NoError(t, req.Set("unread", "skip"))
			piece, err := api.Open(context.Background(), req)
			require.NoError(t, err)
			score, err := piece.Score(context.Background())
			require.NoError(t, err)
			assert.True(t, score.Partial)
			var beats []float64
			for _, n := range score.Notes {
				beats = append(beats, n.StartBeat)
			}
			assert.Equal(t, c.beats, beats)
			require.NotEmpty(t, score.Diagnostics)
			assert.Equal(t, c.code, string(score.Diagnostics[0].Code))
			assert.Equal(t, "error", string(score.Diagnostics[0].Severity))
		})
	}
}

// TestUnreadRefuses: limits, headers out of range and pages without a note are
// refused in any case, and so is whatever strict refuses.
func TestUnreadRefuses(t *testing.T) {
	for _, c := range []struct{ tab, strict string }{
		{"Q Z", "false"},
		{"Tempo: 900\n4 -4", "false"},
		{"", "false"},
		{"4 Q 5", "true"},
	} {
		req := api.Defaults()
		require.NoError(t, req.Set("tab", c.tab))
		require.NoError(t, req.Set("unread", "skip"))
		require.NoError(t, req.Set("strict", c.strict))
		_, err := api.Open(context.Background(), req)
		assert.Error(t, err, c.tab)
	}
	req := api.Defaults()
	require.NoError(t, req.Set("tab", "4 -4"))
	piece, err := api.Open(context.Background(), req)
	require.NoError(t, err)
	score, err := piece.Score(context.Background())
	require.NoError(t, err)
	assert.False(t, score.Partial)
}
