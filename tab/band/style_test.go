package band_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/band"
	"reedlark/tab/beat"
)

// What the styles ask of bass and chords (common practice, no source).
func TestStyles(t *testing.T) {
	for name, c := range map[string]struct {
		style band.Style
		beats int
		bars  string
		want  string
	}{
		"boogie bass, chords on the backbeat": {band.Shuffle, 4, "C C", "0C 1E 1- 2G 3A 3- 4Bb 5A 5- 6G 7E 7-"},
		"in minor":                            {band.Shuffle, 4, "Am", "0A 1C 1- 2E 3Gb 3-"},
		"oom-pah":                             {band.March, 2, "C G", "0C 1/2- 1G 3/2- 2G 5/2- 3D 7/2-"},
		"boom-chick":                          {band.Train, 4, "C", "0C 1/2- 1G 3/2- 2C 5/2- 3G 7/2-"},
		"held":                                {band.Ballad, 4, "C F", "0C 0- 2G 2- 4F 4- 6C 6-"},
		"held in three":                       {band.Ballad, 3, "C F", "0C 0- 3F 3-"},
		"as the metre asks":                   {band.Waltz, 3, "C", "0C 1- 2-"},
	} {
		t.Run(name, func(t *testing.T) {
			x := tune(t, c.beats, band.Feel{Seconds: 0.5}, words(c.bars)...)
			x.Style = c.style
			assert.Equal(t, c.want, written(band.Play(x)))
		})
	}
}

// A shuffle that is left on one chord in its last two bars turns round by I, IV, I, V;
// where other chords are written, they are played; in the last round nothing turns.
func TestTurnaround(t *testing.T) {
	blues := words("C C C C F F C C G F C C")
	roots := func(ends bool, symbols []string) (out []string) {
		x := tune(t, 4, band.Feel{Seconds: 0.4, Swung: true}, symbols...)
		x.Style, x.Ends = band.Shuffle, ends
		for _, n := range band.Play(x) {
			if n.Player == band.Bass && !n.At.Less(beat.Whole(40)) && n.At.Mod(beat.Whole(2)).Sign() == 0 {
				out = append(out, names[n.Midi%12])
			}
		}
		return out
	}
	assert.Equal(t, []string{"C", "F", "C", "G"}, roots(false, blues))
	assert.Equal(t, []string{"C", "G", "C"}, roots(true, blues))
	blues[11] = "G7"
	assert.Equal(t, []string{"C", "G", "G", "D"}, roots(false, blues))
}

// The band ends on its last bar: one chord, held by all, and no drum after it.
func TestEnding(t *testing.T) {
	for _, style := range append(band.Styles(), "") {
		x := tune(t, 4, band.Feel{Seconds: 0.5}, "C", "F", "C")
		x.Style, x.Drums, x.Ends = style, true, true
		held := 0
		for _, n := range band.Play(x) {
			if !n.At.Less(beat.Whole(8)) {
				assert.Equal(t, beat.Whole(8), n.At, style)
				assert.Equal(t, x.To, n.Till, style)
				assert.Less(t, n.Player, band.Kick, style)
				held++
			}
		}
		assert.Equal(t, 4, held, "%s: a bass and three voices", style)
	}
}

// Every style has drums that keep time: something on every beat, and of a train
// sixteenths whose off-beats are at least 2 dB louder.
func TestDrums(t *testing.T) {
	for _, style := range append(band.Styles(), "") {
		x := tune(t, 4, band.Feel{Seconds: 0.5}, "C", "F")
		x.Style, x.Drums = style, true
		var beats []beat.Time
		for _, n := range band.Play(x) {
			if n.Player >= band.Kick && n.At.IsWhole() {
				beats = append(beats, n.At)
			}
		}
		assert.Len(t, slices.Compact(beats), 8, style)
	}
	x := tune(t, 2, band.Feel{Seconds: 0.5}, "C", "C")
	x.Style, x.Drums = band.Train, true
	on, off, strokes := -100.0, 100.0, 0
	for _, n := range band.Play(x) {
		if n.Player != band.Snare {
			continue
		}
		strokes++
		if n.At.Mod(beat.Whole(1)) == beat.Whole(1).Over(2) {
			off = min(off, n.Accent)
		} else {
			on = max(on, n.Accent)
		}
	}
	assert.Equal(t, 16, strokes, "sixteenths")
	assert.GreaterOrEqual(t, off-on, 2.0)
	x.Drums = false
	for _, n := range band.Play(x) {
		require.Less(t, n.Player, band.Kick)
	}
}

// Beats that come fast leave no room for sixteenths.
func TestQuickDrums(t *testing.T) {
	for seconds, most := range map[float64]int{0.5: 16, 0.3: 8, 0.15: 4} {
		x := tune(t, 4, band.Feel{Seconds: seconds}, "C")
		x.Style, x.Drums = band.Train, true
		strokes := 0
		for _, n := range band.Play(x) {
			if n.Player == band.Snare {
				strokes++
			}
		}
		assert.Equal(t, most, strokes)
	}
}
