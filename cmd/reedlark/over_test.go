package main

import (
	"bytes"
	"os"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bandOf makes a WAV file out of a page, to play over.
func bandOf(t *testing.T, name string, settings ...string) {
	t.Helper()
	require.NoError(t, os.WriteFile("band.txt", []byte("-2--- -2--- -1--- -2---\n"), 0o644))
	require.Zero(t, call(t, "", append([]string{"render", "band.txt", "-o", name, "--loudness=-24"}, settings...)...).code)
}

func TestRenderOver(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good})
	bandOf(t, "band.wav", "--rate=44100", "--channels=2")
	got := call(t, "", "render", "tune.txt", "--over", "band.wav", "--at", "2.5", "--duck", "6", "-o", "both.wav")
	require.Equal(t, 0, got.code, got.err)
	assert.Equal(t, "reedlark: wrote both.wav, 9.9 s, the first beat at 2.500 s\n", got.err)
	band, err := os.ReadFile("band.wav")
	require.NoError(t, err)
	both, err := os.ReadFile("both.wav")
	require.NoError(t, err)
	assert.Equal(t, band[:44], both[:44], "as long, and in the same format")
	quiet := 44 + 2*4*44100 // the two seconds before the harp and the ramp
	assert.True(t, bytes.Equal(band[:quiet], both[:quiet]), "the recording as it was")
	assert.False(t, bytes.Equal(band[quiet:], both[quiet:]))

	got = call(t, "", "render", "tune.txt", "--over", "band.wav", "--at", "20", "--rate", "48000", "--depth=24", "--channels=1", "-o", "-")
	require.Equal(t, 0, got.code, got.err)
	assert.Equal(t, "RIFF", got.out[:4])
	assert.Equal(t, "\x01\x00\x80\xbb\x00\x00", got.out[22:28], "one channel, 48,000 frames")
	assert.Greater(t, len(got.out), 23*3*48000)
}

func TestRenderOverRefuses(t *testing.T) {
	pages := map[string]string{"tune.txt": good, "bad.txt": bad, "doubtful.txt": doubtful, "text.wav": good, "cut.wav": ""}
	cases := []struct {
		args string
		code int
		says string
	}{
		{"tune.txt --over none.wav", 2, "none.wav: there is no such file"},
		{"tune.txt --over text.wav -o out.wav", 2, "text.wav: it is no WAV file"},
		{"tune.txt --over cut.wav -o out.wav", 2, "cut.wav: it is cut short"},
		{"tune.txt --over pipe -o out.wav", 2, "pipe: this is not an ordinary file"},
		{"tune.txt --over - -o out.wav", 2, "not standard input"},
		{"tune.txt --over band.wav -o band.wav", 2, "overwrite the recording band.wav"},
		{"tune.txt --over tune.wav", 2, "overwrite the recording tune.wav"},
		{"tune.txt --over band.wav -o tune.txt", 2, "overwrite the page"},
		{"tune.txt --over band.wav -o out.wav --at -1", 2, "0 to 14400 seconds"},
		{"tune.txt --over band.wav -o out.wav --at soon", 2, "--at is \"soon\""},
		{"tune.txt --over band.wav -o out.wav --at 1e999", 2, "not a number"},
		{"tune.txt --over band.wav -o out.wav --duck NaN", 2, "0 to 40 dB"},
		{"tune.txt --over band.wav -o out.wav --above 99", 2, "-20 to 20 LU"},
		{"tune.txt --over band.wav -o out.wav --at 0.5 --count-in 1", 2, "count-in takes"},
		{"tune.txt --over band.wav -o out.flac", 2, "not FLAC"},
		{"tune.txt --over band.wav -o out.wav --picture out.svg", 2, "do not go with --over"},
		{"tune.txt --over band.wav -o out.wav --stems stems", 2, "do not go with --over"},
		{"tune.txt --over band.wav -o out.wav --mix split", 2, "mix is split"},
		{"tune.txt --over band.wav --harp all -o out", 2, "12 sounds"},
		{"tune.txt --at 3 -o out.wav", 2, "go with --over"},
		{"tune.txt --over band.wav -o nowhere/out.wav", 3, "no such file or directory"},
		{"bad.txt --over band.wav -o out.wav", 1, "bad.txt:1:6: error"},
		{"doubtful.txt --over band.wav -o out.wav --strict", 1, "doubtful.txt:1:3: warning"},
	}
	for _, c := range cases {
		t.Run(c.args, func(t *testing.T) {
			folder(t, pages)
			bandOf(t, "band.wav")
			bandOf(t, "tune.wav")
			whole, err := os.ReadFile("band.wav")
			require.NoError(t, err)
			require.NoError(t, os.WriteFile("cut.wav", whole[:len(whole)-1000], 0o644))
			require.NoError(t, syscall.Mkfifo("pipe", 0o600))
			before := names(t, ".")
			got := call(t, "", append([]string{"render"}, strings.Fields(c.args)...)...)
			assert.Equal(t, c.code, got.code, got.err)
			assert.Contains(t, got.err, c.says)
			assert.Equal(t, before, names(t, "."), "nothing was made")
			after, err := os.ReadFile("band.wav")
			require.NoError(t, err)
			assert.True(t, bytes.Equal(whole, after))
		})
	}
}

// A recording at full scale: everything is lowered, and that is said.
func TestRenderOverTellsWhatItTook(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good})
	bandOf(t, "band.wav", "--depth=16")
	loud, err := os.ReadFile("band.wav")
	require.NoError(t, err)
	for i := 44; i+1 < len(loud); i += 2 { // a square wave of full scale
		loud[i], loud[i+1] = 0xff, 0x7f
		if i/200%2 == 0 {
			loud[i], loud[i+1] = 0x01, 0x80
		}
	}
	require.NoError(t, os.WriteFile("loud.wav", loud, 0o644))
	got := call(t, "", "render", "tune.txt", "--over", "loud.wav", "-o", "both.wav")
	require.Equal(t, 0, got.code, got.err)
	assert.Regexp(t, `everything is \d+\.\d dB lower than it was, so that its peaks fit`, got.err)
}
