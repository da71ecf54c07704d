package api_test

import (
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
	"reedlark/synth/measure"
)

// pages are the real pages of tab that can be played: all but those with mistakes
// left in on purpose.
func pages(t *testing.T) map[string]string {
	t.Helper()
	names, err := filepath.Glob("../testdata/tabs/*.txt")
	require.NoError(t, err)
	out := map[string]string{}
	for _, name := range names {
		if strings.HasPrefix(filepath.Base(name), "mistakes") {
			continue
		}
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		out[filepath.Base(name)] = string(text)
	}
	require.GreaterOrEqual(t, len(out), 15)
	return out
}

// Every page on four harps, all of them on all twelve: notes all over it sound at the
// pitch of the score, the file is as long as the score says, never clips, and ends in
// silence.
func TestPagesOnTwelveHarps(t *testing.T) {
	pitched, texts := 0, pages(t)
	harps := slices.Sorted(maps.Keys(keys))
	for turn, name := range slices.Sorted(maps.Keys(texts)) {
		text := texts[name]
		for i := turn % 3; i < len(harps); i += 3 {
			key := harps[i]
			h := hear(t, text, "harp", key, "rate", "22050", "phrasing", "played")
			steady := steadyNotes(h.score)
			pitched += len(steady)
			for i := 0; i < len(steady); i += max(len(steady)/4, 1) {
				n := steady[i]
				off := measure.Cents(measure.Pitch(h.steady(n), h.rate), n.Voices[0].Hz)
				assert.InDelta(t, 0, off, 4, "%s in %s: %s at line %d, %.2f s", name, key, n.Text, n.Line, n.Start)
			}
			assert.InDelta(t, h.score.Seconds, float64(len(h.mono()))/float64(h.rate), 1e-9, name)
			assert.Less(t, measure.RMS(measure.Cut(h.mono(), h.rate, h.score.Seconds-0.1, h.score.Seconds)), 1e-5, name)
			assert.Less(t, highest(h.mono()), 1.0, name)
		}
	}
	assert.Greater(t, pitched, 400, "notes with a steady part")
}

// steadyNotes are the single notes of a score that nothing shakes or overlaps and
// that are long enough for a steady part.
func steadyNotes(s openapi.Score) []openapi.Note {
	var out []openapi.Note
	end := 0.0
	for i, n := range s.Notes {
		next := math.Inf(1)
		if i+1 < len(s.Notes) {
			next = s.Notes[i+1].Start
		}
		alone := n.Start >= end-1e-6 && next >= n.Start+n.Seconds-1e-6
		if len(n.Voices) == 1 && !n.Shake && n.Role != "slide" && n.Seconds >= 0.35 && alone {
			out = append(out, n)
		}
		end = max(end, n.Start+n.Seconds)
	}
	return out
}

func highest(x []float64) float64 {
	top := 0.0
	for _, v := range x {
		top = max(top, math.Abs(v))
	}
	return top
}

// Every page as a caller gets it by default is as loud as promised, within 0.5 LU, and
// its true peak at most -1 dBTP. ref: ITU-R BS.1770-4.
func TestPagesAreAsLoudAsPromised(t *testing.T) {
	for name, text := range pages(t) {
		h := hear(t, text, "room", "0.15", "depth", "16", "phrasing", "played")
		assert.InDelta(t, -16, measure.Integrated(h.channels, h.rate), 0.5, name)
		assert.LessOrEqual(t, measure.TruePeak(h.channels), -1.0, name)
	}
}
