package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTuneIsTheSameForBoth(t *testing.T) {
	tune := newTune(120)
	assert.Equal(t, tune, newTune(120), "the same every time")
	assert.Len(t, strings.Fields(tune.tab()), 2+120, "a header and 120 notes")
	assert.Equal(t, 120, strings.Count(tune.score(), "i1 "))
	assert.Contains(t, tune.score(), "i1 59.5 0.48 ", "the last note of a minute")
	for i := range tune[1:] {
		assert.NotEqual(t, tune[i], tune[i+1], "note %d", i)
	}
	// ref: CRC Handbook of Chemistry and Physics, section 14: C6 is 1046.50 Hz
	assert.Equal(t, "i1 0 0.48 1046.502\ne\n", tuneOf(t, "7").score())
}

func tuneOf(t *testing.T, tab string) tune {
	for i, r := range reeds {
		if r.tab == tab {
			return tune{i}
		}
	}
	require.Fail(t, "no such reed", tab)
	return nil
}

func TestFailuresAreFailures(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out.wav")
	_, err := engine{"false", []string{"false"}, out}.run(1)
	assert.ErrorContains(t, err, "exit status 1")
	_, err = engine{"silent", []string{"true"}, out}.run(1)
	assert.ErrorContains(t, err, "no such file")
	require.NoError(t, os.WriteFile(out+".short", []byte("RIFF"), 0o600))
	_, err = engine{"short", []string{"cp", out + ".short", out}, out}.run(1)
	assert.ErrorContains(t, err, "no whole RIFF file")
}

func TestMedian(t *testing.T) {
	of := func(c cost) float64 { return c.seconds }
	assert.InDelta(t, 2, median([]cost{{3, 0}, {1, 0}, {2, 0}}, of), 1e-12)
	assert.InDelta(t, 1.5, median([]cost{{2, 0}, {1, 0}}, of), 1e-12)
}
