//go:build outside

package api_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// one is a sound with one of its channels.
func (h heard) one(t *testing.T, channel int) heard {
	t.Helper()
	name := filepath.Join(t.TempDir(), "one.wav")
	said(t, "ffmpeg", "-nostdin", "-v", "error", "-i", h.saved(t), "-af", fmt.Sprintf("pan=mono|c0=c%d", channel), name)
	file, err := os.ReadFile(name)
	require.NoError(t, err)
	return heard{file: file, rate: h.rate}
}

var chordRow = regexp.MustCompile(`(?m)^chords:`)

// The melody stands 6 to 10 LU before what plays along, on every page of the folder
// that has chords and with a drone on the others, by ffmpeg's meter on the two
// channels of a split mix.
func TestLevelsByFFmpeg(t *testing.T) {
	pages, err := filepath.Glob("../testdata/tabs/*.txt")
	require.NoError(t, err)
	seen := map[string]int{}
	for _, name := range pages {
		if strings.HasPrefix(filepath.Base(name), "mistakes-") {
			continue
		}
		page, err := os.ReadFile(name)
		require.NoError(t, err)
		backing := "drone"
		if chordRow.Match(page) {
			backing = "chords"
		}
		seen[backing]++
		h := hear(t, string(page), "mix", "split", "backing", backing, "room", "0.15")
		harp, _ := ebur128(t, h.one(t, 0))
		band, _ := ebur128(t, h.one(t, 1))
		together, peak := ebur128(t, h)
		t.Logf("%-28s %s %.1f LU", filepath.Base(name), backing, harp-band)
		assert.InDelta(t, 8, harp-band, 2.05, name)
		assert.InDelta(t, -16, together, 0.5, name)
		assert.LessOrEqual(t, peak, -1.0, name)
	}
	assert.GreaterOrEqual(t, seen["chords"], 2)
	assert.GreaterOrEqual(t, seen["drone"], 20)
}

// Random pages of chords, in any metre, tempo and swing, with a tune or alone, are as
// loud as was asked for and never peak over -1 dBTP.
func TestLoudnessOfAnyChordsByFFmpeg(t *testing.T) {
	symbols := strings.Fields("C G7 Am F Dm7 E7 Bb D/F# F#m7b5 N.C. Cmaj7 Gsus4 A9 Ebdim7")
	worst := 0.0
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 2))
		metre := []string{"4/4", "3/4", "6/8", "2/4", "5/4", "7/8", "12/8"}[r.IntN(7)]
		var page strings.Builder
		fmt.Fprintf(&page, "Metre: %s\nTempo: %d\nSwing: %.2f\nchords:", metre, 70+r.IntN(200), 0.5+0.01*float64(r.IntN(20)))
		for range 12 {
			page.WriteString(" " + symbols[r.IntN(len(symbols))])
		}
		want := -12 - r.IntN(12)
		h := hear(t, page.String(), "backing", "chords", "loudness", fmt.Sprint(want), "room", fmt.Sprint(r.Float64()), "rate", []string{"22050", "44100", "48000"}[r.IntN(3)])
		lufs, peak := ebur128(t, h)
		assert.LessOrEqual(t, peak, -1.0, page.String())
		if softer(h.score) || h.score.Seconds < 3 {
			continue
		}
		worst = max(worst, lufs-float64(want), float64(want)-lufs)
		assert.InDelta(t, want, lufs, 0.5, page.String())
	}
	t.Logf("worst %.2f LU", worst)
}
