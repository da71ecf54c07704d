//go:build outside

package midi_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/go-audio/wav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
	"reedlark/tab/perform"
)

// font is the sound set of Debian's fluid-soundfont-gm.
const font = "/usr/share/sounds/sf2/FluidR3_GM.sf2"

// rendered is a file as Debian's fluidsynth plays it, one channel of it.
func rendered(t *testing.T, file []byte) (x []float64, rate int) {
	t.Helper()
	dir := t.TempDir()
	tune, sound := filepath.Join(dir, "tune.mid"), filepath.Join(dir, "tune.wav")
	require.NoError(t, os.WriteFile(tune, file, 0o600))
	out, err := exec.Command("fluidsynth", "-q", "-n", "-i", "-R", "0", "-C", "0", "-r", "48000", "-O", "s16", "-F", sound, font, tune).CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	f, err := os.Open(sound)
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	buf, err := wav.NewDecoder(f).FullPCMBuffer()
	require.NoError(t, err)
	for i := 0; i < len(buf.Data); i += buf.Format.NumChannels {
		x = append(x, float64(buf.Data[i])/32768)
	}
	return x, buf.Format.SampleRate
}

// TestPitchByFluidsynth: what a general-purpose synthesizer plays has the
// pitches of the page. At 60 beats a minute beats are seconds. The pitch is
// read against a plain note of the same sound set, so that the tuning of the
// set's own samples does not count.
func TestPitchByFluidsynth(t *testing.T) {
	page := "-3-- r -3//-- -> -3-- r -3///--\n"
	x, rate := rendered(t, file(t, page, perform.Settings{Tempo: 60, Bends: perform.Direct}))
	pitch := func(from, to float64) float64 { return measure.Pitch(measure.Cut(x, rate, from, to), rate) }
	plain := pitch(1, 2.5)
	cents := func(hz float64) float64 { return measure.Cents(hz, plain) }
	assert.InDelta(t, 71, number(plain), .2, "B4")
	assert.InDelta(t, -200, cents(pitch(4.6, 6.5)), 5)
	assert.InDelta(t, 0, cents(pitch(7.5, 9.5)), 5)
	assert.InDelta(t, -300, cents(pitch(11.6, 13.5)), 5)
	var glide []float64
	for _, p := range measure.Track(measure.Cut(x, rate, 6.75, 7), rate, .03, .01, 300, 700) {
		glide = append(glide, cents(p.Hz))
	}
	require.NotEmpty(t, glide)
	assert.Less(t, glide[0], -150.)
	assert.Greater(t, glide[len(glide)-1], -50.)
}

// TestOnsetsByFluidsynth: after a rest a note begins on its beat, a swung one
// late.
func TestOnsetsByFluidsynth(t *testing.T) {
	x, rate := rendered(t, file(t, "4 r {r 4} r 4\n", perform.Settings{Tempo: 60, Swing: .75}))
	level := func(at float64) float64 { return measure.DB(measure.RMS(measure.Cut(x, rate, at, at+.02))) }
	zero := 0.
	for level(zero) < -50 {
		zero += .005
	}
	for _, beat := range []float64{2.75, 4} {
		assert.Greater(t, level(zero+beat+.05), level(zero+beat-.05)+10, "beat %g", beat)
	}
}
