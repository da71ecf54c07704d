package api_test

import (
	"bytes"
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
	"reedlark/synth/measure"
)

// backed are pages of our own in all styles. None was looked at while the levels
// were chosen.
var backed = map[string]string{
	"twelve bars": "Metre: 4/4\nTempo: 120\nStyle: shuffle\nchords: C | C | C | C7 | F | F | C | C | G | F | C | C\n" +
		"-2 -2 3 -3 | 4- -3 3 | -2 3 -2 2 | -2--- | -4 4 -3/ 3 | -4- 4- | -2 3 4 -3 | -2--- | -1 -1 -2 -3 | 2 2 -1 2 | -2 3 -3 4 | -2---\n",
	"train":   "Metre: 4/4\nTempo: 150\nStyle: train\nchords: G | G | C | G | D | G\n6 6 -6 6 | 5 5 6- | -5 5 4 5 | 6--- | -4 5 -5 -4 | 6---\n",
	"waltz":   "Metre: 3/4\nTempo: 130\nchords: C | F | G | C\n4 5 6 | -6- 6 | -5 5 -4 | 4--\n",
	"march":   "Metre: 2/4\nTempo: 112\nStyle: march\nchords: C | C | G | C\n4 4 | 5 6 | -5 -4 | 4-\n",
	"ballad":  "Metre: 4/4\nTempo: 72\nStyle: ballad\nchords: Am | F | C | G\n-6- 6 5 | -5--- | 5 4 5 6 | -4---\n",
	"jig":     "Metre: 6/8\nTempo: 240\nchords: G | D | C | G\n6 5 6 -6 6 5 | -4 -5 -4 -4-- | 5 4 5 6 5 4 | 6-- 6--\n",
	"country": "Metre: 4/4\nTempo: 104\nchords: C | F | G | C\n5 5 -5 6 | 6 -5 5 -4 | -4 5 -5 -4 | 4---\n",
}

// stem renders one stem of a page.
func stem(t *testing.T, tab, name string, settings ...string) heard {
	t.Helper()
	r := api.Defaults()
	r.Tab, r.Depth, r.Room = tab, 24, 0
	for i := 0; i < len(settings); i += 2 {
		require.NoError(t, r.Set(settings[i], settings[i+1]))
	}
	piece, err := api.Open(t.Context(), r)
	require.NoError(t, err)
	sound, err := piece.Sound(t.Context())
	require.NoError(t, err)
	part, err := sound.Stem(name)
	require.NoError(t, err)
	var file bytes.Buffer
	require.NoError(t, part.WriteTo(context.Background(), &file))
	return decode(t, file.Bytes(), openapi.Score{})
}

// phone is a sound through a fourth-order Butterworth high-pass at 600 Hz.
// ref: R. Bristow-Johnson, "Cookbook formulae for audio EQ biquad filter coefficients";
// the Q of the two sections are 1/(2cos π/8) and 1/(2cos 3π/8).
func phone(x []float64, rate int) []float64 {
	out := append([]float64(nil), x...)
	w := 2 * math.Pi * 600 / float64(rate)
	for _, q := range []float64{0.5 / math.Cos(math.Pi/8), 0.5 / math.Cos(3*math.Pi/8)} {
		alpha, c := math.Sin(w)/(2*q), math.Cos(w)
		b, a0, a1, a2 := (1+c)/2, 1+alpha, -2*c, 1-alpha
		var x1, x2, y1, y2 float64
		for i, v := range out {
			y := (b*v - 2*b*x1 + b*x2 - a1*y1 - a2*y2) / a0
			x1, x2, y1, y2 = v, x1, y, y1
			out[i] = y
		}
	}
	return out
}

// The harp is 6 to 8 LU in front of those who play along, and on a phone they are at
// most 13 LU behind it. by ear, measured as ITU-R BS.1770-4 does.
func TestBandIsBehindTheHarp(t *testing.T) {
	for name, page := range backed {
		for _, backing := range []string{"chords", "band"} {
			harp, rest := stem(t, page, "melody", "backing", backing), stem(t, page, "backing", "backing", backing)
			level := func(x []float64) float64 { return measure.Integrated([][]float64{x}, harp.rate) }
			front := level(harp.mono()) - level(rest.mono())
			small := level(phone(harp.mono(), harp.rate)) - level(phone(rest.mono(), rest.rate))
			t.Logf("%s, %s: %.1f LU in front, %.1f on a phone", name, backing, front, small)
			assert.Truef(t, front >= 6 && front <= 8, "%s, %s: %.1f LU", name, backing, front)
			assert.LessOrEqualf(t, small, 13.0, "%s, %s", name, backing)
		}
	}
}

// A shuffle swings, harp and band alike, unless the page or the caller says otherwise.
func TestShuffleSwings(t *testing.T) {
	half := func(page string, settings ...string) (harp, bass float64) {
		h := hear(t, page, append(settings, "backing", "band", "tempo", "60")...)
		zero := h.score.Notes[0].Start
		hats := 0
		for _, b := range h.score.Backing {
			if b.Player == "hat" && b.Start > zero+0.1 && b.Start < zero+0.9 {
				bass, hats = b.Start-zero, hats+1
			}
		}
		require.Equal(t, 1, hats)
		return h.score.Notes[1].Start - zero, bass
	}
	tune := "Metre: 4/4\nchords: C | C\n{4 5} 6 5 4 | 4---\n"
	for page, want := range map[string]float64{"Style: shuffle\n" + tune: 2. / 3, tune: 0.5, "Style: shuffle\nSwing: 0.6\n" + tune: 0.6} {
		harp, hat := half(page)
		assert.InDelta(t, want, harp, 1e-3, page)
		assert.InDelta(t, want, hat, 1e-3, page)
	}
	harp, _ := half(tune, "style", "shuffle")
	assert.InDelta(t, 2./3, harp, 1e-3)
}

// The band ends in the last round only: one chord from the last bar on, and no drum.
func TestBandEndsOnce(t *testing.T) {
	h := hear(t, backed["country"], "backing", "band", "repeat", "2")
	last, late, before := h.score.Seconds-0.25-4*60/104., 0, 0
	for _, b := range h.score.Backing {
		drum := b.Midi == 0
		switch {
		case b.Start > last-0.01:
			late++
			assert.False(t, drum, "%s at %.2f", b.Player, b.Start)
			assert.InDelta(t, last, b.Start, 0.01)
			assert.InDelta(t, 4*60/104., b.Seconds, 0.01)
		case b.Start > last/2-4*60/104. && b.Start < last/2:
			before++
		}
	}
	assert.Equal(t, 4, late)
	assert.Greater(t, before, 10, "the first round goes on to its end")
}
