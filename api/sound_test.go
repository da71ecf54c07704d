package api_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/go-audio/wav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
	"reedlark/synth/measure"
)

// heard is a sound as another program reads it, and the score it should be.
type heard struct {
	file     []byte
	score    openapi.Score
	channels [][]float64 // -1 to 1
	rate     int
}

// hear renders a tab, dry and plain unless told otherwise, and reads the file with go-audio's
// decoder. Settings are names and values as a caller writes them.
func hear(t testing.TB, tab string, settings ...string) heard {
	t.Helper()
	r := api.Defaults()
	r.Tab, r.Room, r.Depth, r.Phrasing = tab, 0, 24, "plain"
	for i := 0; i < len(settings); i += 2 {
		require.NoError(t, r.Set(settings[i], settings[i+1]))
	}
	piece, err := api.Open(t.Context(), r)
	require.NoError(t, err, tab)
	score, err := piece.Score(t.Context())
	require.NoError(t, err)
	sound, err := piece.Sound(t.Context())
	require.NoError(t, err)
	var file bytes.Buffer
	require.NoError(t, sound.WriteTo(context.Background(), &file))
	return decode(t, file.Bytes(), score)
}

func decode(t testing.TB, file []byte, score openapi.Score) heard {
	t.Helper()
	d := wav.NewDecoder(bytes.NewReader(file))
	require.True(t, d.IsValidFile())
	buf, err := d.FullPCMBuffer()
	require.NoError(t, err)
	h := heard{file: file, score: score, rate: buf.Format.SampleRate, channels: make([][]float64, buf.Format.NumChannels)}
	full := float64(int(1) << (buf.SourceBitDepth - 1))
	for i, v := range buf.Data {
		c := i % len(h.channels)
		h.channels[c] = append(h.channels[c], float64(v)/full)
	}
	return h
}

// mono is the mean of the channels.
func (h heard) mono() []float64 {
	if len(h.channels) == 1 {
		return h.channels[0]
	}
	x := make([]float64, len(h.channels[0]))
	for i := range x {
		x[i] = (h.channels[0][i] + h.channels[1][i]) / 2
	}
	return x
}

// steady is the part of a note in which nothing moves: from 40 % of it on, after any
// glide and its scoop, until the quarter its release may take.
func (h heard) steady(n openapi.Note) []float64 {
	from := max(0.4*n.Seconds, n.Voices[0].GlideSeconds+0.05)
	return measure.Cut(h.mono(), h.rate, n.Start+from, n.Start+0.75*n.Seconds)
}

// envelope of the whole sound that does not ripple at a pitch.
func (h heard) envelope(hz float64) measure.Levels {
	return measure.Envelope(h.mono(), h.rate, max(0.004, 2/hz), 0.0005)
}

// The reeds of a Richter harp in semitones over hole-1 blow.
// ref: OEIS A291810.
var (
	blow = []int{0, 4, 7, 12, 16, 19, 24, 28, 31, 36}
	draw = []int{2, 7, 11, 14, 17, 21, 23, 26, 29, 33}
)

// keys are the harps by their hole-1 blow, MIDI. common practice, no source.
var keys = map[string]int{
	"G": 55, "Ab": 56, "A": 57, "Bb": 58, "B": 59, "C": 60, "Db": 61, "D": 62, "Eb": 63, "E": 64, "F": 65, "F#": 66,
}

// hertz of a MIDI note.
// ref: MIDI Tuning Standard, f = 440 · 2^((n-69)/12).
func hertz(midi int) float64 { return 440 * math.Pow(2, float64(midi-69)/12) }

// run is a tune over every kind of note, and its semitones over hole-1 blow.
var run = []struct {
	tab      string
	semitone int
}{
	{"1", blow[0]},
	{"-1", draw[0]},
	{"-1/", draw[0] - 1},
	{"2", blow[1]},
	{"-2//", draw[1] - 2},
	{"-2", draw[1]},
	{"-3///", draw[2] - 3},
	{"-3/", draw[2] - 1},
	{"-3", draw[2]},
	{"4", blow[3]},
	{"-4/", draw[3] - 1},
	{"-4", draw[3]},
	{"4*", draw[3] + 1},
	{"5", blow[4]},
	{"-5", draw[4]},
	{"6", blow[5]},
	{"6*", draw[5] + 1},
	{"-6", draw[5]},
	{"-7", draw[6]},
	{"7", blow[6]},
	{"-7*", blow[6] + 1},
	{"-8", draw[7]},
	{"8/", blow[7] - 1},
	{"8", blow[7]},
	{"-9", draw[8]},
	{"9", blow[8]},
	{"-10", draw[9]},
	{"10//", blow[9] - 2},
	{"10", blow[9]},
}

// Every kind of note on all twelve harps sounds within 1 cent of the pitch
// reckoned here from the formula and the published layout.
func TestTuneInTwelveKeys(t *testing.T) {
	tab := ""
	for _, n := range run {
		tab += n.tab + " "
	}
	worst, where := 0.0, ""
	for key, base := range keys {
		h := hear(t, tab, "harp", key, "tempo", "120")
		require.Len(t, h.score.Notes, len(run), key)
		for i, n := range h.score.Notes {
			off := measure.Cents(measure.Pitch(h.steady(n), h.rate), hertz(base+run[i].semitone))
			assert.InDelta(t, 0, off, 1, "%s on a harp in %s", run[i].tab, key)
			if math.Abs(off) > worst {
				worst, where = math.Abs(off), run[i].tab+" on "+key
			}
		}
	}
	t.Logf("worst %.3f cent: %s", worst, where)
}

// ref: CRC Handbook of Chemistry and Physics, section 14, "Musical scales", table 1.
func TestPrintedFrequencies(t *testing.T) {
	printed := []float64{261.63, 293.66, 329.63, 1046.50, 1174.66, 1318.51, 1396.91}
	h := hear(t, "1 -1 2 7 -8 8 -9")
	for i, n := range h.score.Notes {
		assert.InDelta(t, 0, measure.Cents(measure.Pitch(h.steady(n), h.rate), printed[i]), 0.5, n.Text)
	}
}

// A tuning fork of 442 Hz moves every reed by 7.85 cents, one of 443 by 11.76 (1200 log2 of the ratio).
func TestA4MovesEveryReed(t *testing.T) {
	for a4, want := range map[string]float64{"442": 7.85, "443": 11.76} {
		h := hear(t, "1 -3 5 -9", "a4", a4)
		for i, n := range []int{60, 71, 76, 89} {
			got := measure.Cents(measure.Pitch(h.steady(h.score.Notes[i]), h.rate), hertz(n))
			assert.InDelta(t, want, got, 0.3, "%s at %s", h.score.Notes[i].Text, a4)
		}
	}
}

// The same sound at every rate, depth and number of channels: pitch and level.
func TestFormatsSoundAlike(t *testing.T) {
	want := measure.Integrated(hear(t, "4 -4 5 -5 6 -6").channels, 48000)
	for _, rate := range []string{"22050", "44100", "48000"} {
		for _, depth := range []string{"16", "24"} {
			h := hear(t, "4 -4 5 -5 6 -6", "rate", rate, "depth", depth)
			assert.Equal(t, rate, fmt.Sprint(h.rate))
			assert.InDelta(t, h.score.Seconds, float64(len(h.channels[0]))/float64(h.rate), 1e-9)
			assert.InDelta(t, 0, measure.Cents(measure.Pitch(h.steady(h.score.Notes[2]), h.rate), hertz(76)), 1)
			assert.InDelta(t, want, measure.Integrated(h.channels, h.rate), 0.5, "%s %s", rate, depth)
			assert.Less(t, measure.DB(math.Abs(measure.DC(h.mono()))), -80.0, "no DC")
		}
	}
}
