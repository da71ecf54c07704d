package api

import (
	"bytes"
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
)

// wavOf is a WAV file of 16 bits.
func wavOf(rate, channels int, x []int16) []byte {
	le := binary.LittleEndian
	b := le.AppendUint32([]byte("RIFF"), uint32(36+2*len(x)))
	b = le.AppendUint32(append(b, "WAVEfmt "...), 16)
	b = le.AppendUint32(b, uint32(channels)<<16|1)
	b = le.AppendUint32(le.AppendUint32(b, uint32(rate)), uint32(rate*channels*2))
	b = le.AppendUint32(b, 16<<16|uint32(channels*2))
	b = le.AppendUint32(append(b, "data"...), uint32(2*len(x)))
	for _, v := range x {
		b = le.AppendUint16(b, uint16(v))
	}
	return b
}

// hum is seconds of a soft low sine.
func hum(rate int, seconds float64) []int16 {
	x := make([]int16, int(seconds*float64(rate)))
	for i := range x {
		x[i] = int16(2000 * math.Sin(2*math.Pi*110*float64(i)/float64(rate)))
	}
	return x
}

// overHum lays a page over ten seconds of hum.
func overHum(t *testing.T, tab string, o Overlay, more ...string) (*Mix, error) {
	t.Helper()
	file := wavOf(44100, 1, hum(44100, 10))
	rec, err := OpenRecording(bytes.NewReader(file), int64(len(file)))
	require.NoError(t, err)
	req := Defaults()
	rec.Like(&req)
	assert.Equal(t, []int{44100, 16, 1}, []int{req.Rate, req.Depth, req.Channels})
	require.NoError(t, req.Set("tab", tab))
	for i := 0; i < len(more); i += 2 {
		require.NoError(t, req.Set(more[i], more[i+1]))
	}
	piece, err := Open(t.Context(), req)
	require.NoError(t, err)
	return piece.Over(t.Context(), rec, o)
}

// The first beat falls where it was asked to, count-in, swing and lead-in or
// not; before it there is the recording and nothing else.
func TestFirstBeatOverARecording(t *testing.T) {
	for _, c := range []struct {
		tab  string
		more []string
		at   float64
		want float64
	}{
		{"4--- -4---", nil, 2.5, 2.5},
		{"4--- -4---", []string{"count_in", "1", "tempo", "240"}, 2.5, 2.5},
		{"(3)4--- -4---", nil, 2.5, 2.5},
		{"r 4--- -4---", nil, 2.5, 3.1}, // a beat of rest is 0.6 s
		{"4--- -4---", nil, 0, 0.015},   // a reed needs that much
	} {
		m, err := overHum(t, c.tab, Overlay{At: c.at}, append(c.more, "room", "0")...)
		require.NoError(t, err)
		var file bytes.Buffer
		require.NoError(t, m.WriteTo(t.Context(), &file))
		require.EqualValues(t, m.Size(), file.Len())
		x := make([]float64, (file.Len()-44)/2)
		for i, v := range hum(44100, 10) {
			x[i] = float64(int16(binary.LittleEndian.Uint16(file.Bytes()[44+2*i:]))-v) / 32768
		}
		if c.more == nil && !strings.HasPrefix(c.tab, "(") {
			assert.Zero(t, measure.RMS(measure.Cut(x, 44100, 0, c.want-0.016)), "silence before")
			env := measure.Envelope(x, 44100, 0.006, 0.001)
			assert.InDelta(t, c.want, env.Onset(c.want-0.1, measure.RMS(measure.Cut(x, 44100, c.want+0.3, c.want+0.9))), 0.015, c.tab)
		}
		if !strings.HasPrefix(c.tab, "r") {
			assert.InDelta(t, c.want, m.Report().FirstBeat, 1e-9, c.tab)
		}
	}
}

func TestOverlayRefuses(t *testing.T) {
	for says, o := range map[string]Overlay{
		"at is -1": {At: -1}, "at is NaN": {At: math.NaN()}, "at is +Inf": {At: math.Inf(1)}, "at is 14401": {At: 14401},
		"duck is -3": {Duck: -3}, "duck is 41": {Duck: 41}, "above is 21": {Above: 21}, "above is -21": {Above: -21},
	} {
		_, err := overHum(t, "4 -4", o)
		var call *CallError
		require.ErrorAs(t, err, &call)
		assert.Contains(t, err.Error(), says)
		assert.NotEmpty(t, call.Allowed)
		assert.Equal(t, strings.Fields(says)[0], call.Parameter)
	}
	_, err := overHum(t, "4 -4", Overlay{At: 1}, "count_in", "1", "tempo", "60")
	require.ErrorContains(t, err, "the count-in takes 4.0")
	assert.Equal(t, CallFailure, FailureOf(err))
	for name, file := range map[string][]byte{"no WAV": []byte("4 -4 5 -5 6 -6\n"), "cut": wavOf(44100, 1, hum(44100, 1))[:5000]} {
		_, err := OpenRecording(bytes.NewReader(file), int64(len(file)))
		assert.Equal(t, CallFailure, FailureOf(err), name)
	}
}

// A file that is cut after it was opened is our caller's fault too, and no
// success.
func TestOverARecordingThatShrinks(t *testing.T) {
	file := wavOf(44100, 1, hum(44100, 3))
	rec, err := OpenRecording(bytes.NewReader(file[:len(file)/2]), int64(len(file)))
	require.NoError(t, err)
	req := Defaults()
	require.NoError(t, req.Set("tab", "4 -4"))
	piece, err := Open(t.Context(), req)
	require.NoError(t, err)
	_, err = piece.Over(t.Context(), rec, Overlay{})
	assert.Equal(t, CallFailure, FailureOf(err))
	assert.ErrorContains(t, err, "became shorter")
}

// The cue points of a mix lie where the lines begin in it.
func TestCuesOverARecording(t *testing.T) {
	m, err := overHum(t, "4 -4\n5 -5", Overlay{At: 2}, "tempo", "60", "cues", "true")
	require.NoError(t, err)
	var file bytes.Buffer
	require.NoError(t, m.WriteTo(t.Context(), &file))
	require.EqualValues(t, m.Size(), file.Len())
	assert.EqualValues(t, file.Len()-8, binary.LittleEndian.Uint32(file.Bytes()[4:]))
	_, cues, found := bytes.Cut(file.Bytes()[44+2*441000:], []byte("cue "))
	require.True(t, found)
	assert.EqualValues(t, 2*44100, binary.LittleEndian.Uint32(cues[12:]))
	assert.EqualValues(t, 4*44100, binary.LittleEndian.Uint32(cues[36:]))
}
