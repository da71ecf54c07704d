package api_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/tab/diag"
)

func openedPage(t *testing.T, text string) *api.Piece {
	t.Helper()
	req := api.Defaults()
	req.Tab = text
	piece, err := api.Open(context.Background(), req)
	require.NoError(t, err)
	return piece
}

// startBeats are when the notes of a page begin.
func startBeats(t *testing.T, text string) (out []float64) {
	t.Helper()
	score, err := scoreOf(text)
	require.NoError(t, err, text)
	for _, n := range score.Notes {
		out = append(out, n.StartBeat)
	}
	return out
}

// What is said of the rhythm of a page: to who plays it, and to who checks it.
func TestRhythmIsMissed(t *testing.T) {
	for name, c := range map[string]struct {
		page          string
		played, check []diag.Code
	}{
		"no rhythm":         {"4 -4 5 6 7 7 6 5\n4 -4 5 6", nil, []diag.Code{diag.NoRhythm}},
		"few notes":         {"4 -4 5 6 7 7 6", nil, nil},
		"a hold":            {"4 -4 5 6- 7 7 6 5\n4 -4 5 6", nil, nil},
		"counted":           {"Metre: 4/4\n4 -4 5 6 7 7 6 5\ncount: 1 2 3 4 1 2 3 4", nil, nil},
		"dashes in doubt":   {"4-5-6-5 4-5-6-5", []diag.Code{diag.TwoReadings}, []diag.Code{diag.TwoReadings}},
		"gaps":              {"4   4   5       5\n6       6   6   5\n4   4   4   4   4", []diag.Code{diag.UseGaps}, []diag.Code{diag.UseGaps}},
		"gaps, and said so": {"Spacing: rhythm\n4   4   5       5\n6       6   6   5\n4   4   4   4   4", nil, nil},
		"gaps of words": {
			"4   4   5       5\nyou and everybody else\n6       6   6   5\nanybody can sit down\n4   4   4   4   4\noh  my  oh  my  oh",
			nil,
			[]diag.Code{diag.NoRhythm},
		},
		"even gaps": {"4   4   5   5\n6   6   6   5", nil, []diag.Code{diag.NoRhythm}},
	} {
		t.Run(name, func(t *testing.T) {
			piece := openedPage(t, c.page)
			played, err := piece.Diagnostics(context.Background())
			require.NoError(t, err)
			assert.Equal(t, c.played, codesOf(played))
			check, err := piece.Advice(context.Background())
			require.NoError(t, err)
			assert.Equal(t, c.check, codesOf(check))
		})
	}
}

// The edit makes the gaps the rhythm.
func TestUseGaps(t *testing.T) {
	const page = "Gaps\n\n4   4   5       5\n6       6   6   5\n4   4   4   4   4"
	list, err := openedPage(t, page).Diagnostics(context.Background())
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Len(t, list[0].Edits, 1)
	after := applied(page, list[0].Edits[0])
	assert.Equal(t, []float64{0, 1, 2, 4, 5, 7, 8, 9, 10, 11, 12, 13, 14}, startBeats(t, after))
}

// A rewritten page has the rhythm of its gaps, in them or, where they are too narrow
// for that, in hold marks.
func TestRewrittenGaps(t *testing.T) {
	for page, want := range map[string]string{
		"Spacing: rhythm\n4   4   -5      5\n6       6   6   5\n": "Spacing: rhythm\nB4  B4  D5      B5\nB6      B6  B6  B5\n",
		"Spacing: rhythm\n4 4 -5  5\n6   6 6 5\n":                 "B4 B4 D5- B5\nB6- B6 B6 B5\n",
	} {
		req := api.Defaults()
		req.Tab, req.ToConvention = page, "letters"
		piece, err := api.Open(context.Background(), req)
		require.NoError(t, err)
		got, err := piece.Rewritten(context.Background())
		require.NoError(t, err)
		assert.Equal(t, startBeats(t, page), startBeats(t, got), got)
		assert.Equal(t, strings.Join(strings.Fields(want), " "), strings.Join(strings.Fields(got), " "))
		assert.Equal(t, strings.HasPrefix(want, "Spacing"), strings.HasPrefix(got, "Spacing"))
	}
}
