package over

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure"
	"reedlark/synth/recording"
)

// tone is a sound of a sine, in all channels, at an amplitude.
type tone struct {
	frames   int64
	rate     int
	channels int
	hz, amp  float64
}

func (s tone) Frames() int64 { return s.frames }

func (s tone) Samples(ctx context.Context, from, to int64, emit func([]int32) error) error {
	for from < to {
		n := min(to-from, 3000)
		block := make([]int32, 0, n*int64(s.channels))
		for i := range n {
			v := math.Sin(2 * math.Pi * s.hz * float64(from+i) / float64(s.rate))
			for range s.channels {
				block = append(block, int32(s.amp*v*fullScale))
			}
		}
		if err := errors.Join(ctx.Err(), emit(block)); err != nil {
			return err
		}
		from += n
	}
	return nil
}

// band is a recording of 16 bits with these samples.
func band(t testing.TB, rate, channels int, x []int16) *recording.Recording {
	t.Helper()
	le := binary.LittleEndian
	b := le.AppendUint32([]byte("RIFF"), uint32(36+2*len(x)))
	b = le.AppendUint32(append(b, "WAVEfmt "...), 16)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*channels*2))
	b = le.AppendUint16(b, uint16(channels*2))
	b = le.AppendUint16(b, 16)
	b = le.AppendUint32(append(b, "data"...), uint32(2*len(x)))
	for _, v := range x {
		b = le.AppendUint16(b, uint16(v))
	}
	r, err := recording.Open(bytes.NewReader(b), int64(len(b)))
	require.NoError(t, err)
	return r
}

// noise is seconds of noise at an amplitude, not the same in two channels.
func noise(rate, channels int, seconds, amp float64) []int16 {
	x := make([]int16, int(seconds*float64(rate))*channels)
	state := uint64(1)
	for i := range x {
		state = state*6364136223846793005 + 1442695040888963407
		x[i] = int16(amp * 32767 * (float64(state>>11)/(1<<52) - 1))
	}
	return x
}

// settings are those of a tone of 2 s at a loudness of its own.
func settings(rate, depth, channels int) (tone, Settings) {
	s := tone{int64(2 * rate), rate, channels, 1000, 0.1}
	x := make([]float64, s.frames)
	for i := range x {
		x[i] = s.amp * math.Sin(2*math.Pi*s.hz*float64(i)/float64(rate))
	}
	both := [][]float64{x, x}[:channels]
	return s, Settings{
		Rate: rate, Depth: depth, Channels: channels, Start: 3, Sounding: []Span{{0, 2}},
		Loudness: measure.Integrated(both, rate), Alone: -16,
	}
}

// mixed is the samples of a mix, by channel, from -1 to 1.
func mixed(t testing.TB, m *Mix) [][]float64 {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, m.WriteTo(t.Context(), &file))
	require.EqualValues(t, m.Size(), file.Len())
	r, err := recording.Open(bytes.NewReader(file.Bytes()), int64(file.Len()))
	require.NoError(t, err)
	require.Equal(t, m.Frames(), r.Frames)
	out := make([][]float64, r.Channels)
	x := make([]float64, 4096*r.Channels)
	for reader := r.Read(); ; {
		n, err := reader.Read(x)
		for i := range n * r.Channels {
			out[i%r.Channels] = append(out[i%r.Channels], x[i])
		}
		if errors.Is(err, io.EOF) {
			return out
		}
		require.NoError(t, err)
	}
}

// Where nothing is added and nothing lowered, every sample is the recording's own.
func TestTheRecordingStays(t *testing.T) {
	x := noise(44100, 2, 10, 0.2)
	s, set := settings(44100, 16, 2)
	m, err := Prepare(t.Context(), band(t, 44100, 2, x), s, set)
	require.NoError(t, err)
	assert.Zero(t, m.Report().Gain)
	got := mixed(t, m)
	require.Len(t, got[0], len(x)/2)
	changed := 0
	for i := range x {
		frame := i / 2
		if frame > 3*44100 && frame < 5*44100 {
			if got[i%2][frame] != float64(x[i])/32768 {
				changed++
			}
			continue
		}
		require.Equal(t, float64(x[i])/32768, got[i%2][frame], "frame %d", frame)
	}
	assert.Greater(t, changed, 2*2*44100*9/10, "and where the sound is, there it is")
}

// The sound is as loud as the recording, or so much louder, by a meter that
// shares nothing with this one (ITU-R BS.1770-4).
func TestLoudness(t *testing.T) {
	for _, c := range []struct {
		rate, bandRate, channels, bandChannels int
		above                                  float64
	}{
		{48000, 48000, 1, 1, 0}, {44100, 44100, 2, 2, 6}, {48000, 44100, 2, 1, -3}, {22050, 96000, 1, 2, 0}, {48000, 8000, 2, 2, 3},
	} {
		x := noise(c.bandRate, c.bandChannels, 8, 0.05)
		s, set := settings(c.rate, 24, c.channels)
		set.Above = c.above
		m, err := Prepare(t.Context(), band(t, c.bandRate, c.bandChannels, x), s, set)
		require.NoError(t, err)
		heard := mixed(t, m)
		alone := mixed(t, without(t, c.bandRate, c.bandChannels, x, s, set))
		var before, during [][]float64
		for k := range heard {
			before = append(before, measure.Cut(heard[k], c.rate, 5.5, 8))
			during = append(during, difference(heard[k], alone[k], c.rate))
		}
		assert.InDelta(t, m.Report().Recording, measure.Integrated(before, c.rate), 0.3, "%+v", c)
		assert.Zero(t, m.Report().Gain)
		assert.InDelta(t, m.Report().Recording+c.above, measure.Integrated(during, c.rate), 0.3, "%+v", c)
	}
}

// without is the same mix with a sound that is silent.
func without(t *testing.T, rate, channels int, x []int16, s tone, set Settings) *Mix {
	t.Helper()
	s.amp, set.Loudness = 0, -200
	m, err := Prepare(t.Context(), band(t, rate, channels, x), s, set)
	require.NoError(t, err)
	return m
}

// difference is what one channel has from 3 to 5 s that another has not.
func difference(a, b []float64, rate int) []float64 {
	out := measure.Cut(append([]float64{}, a...), rate, 3, 5)
	for i, v := range measure.Cut(b, rate, 3, 5) {
		out[i] -= v
	}
	return out
}

// The recording is down by what was asked for from the first frame of the
// sound to its last, on a smooth way there and back, and else untouched.
func TestDuck(t *testing.T) {
	x := make([]int16, 12*48000)
	for i := range x {
		x[i] = 8000
	}
	s, set := settings(48000, 24, 1)
	s.amp, set.Loudness = 0, -200
	set.Duck = 6
	set.Sounding = []Span{{0, 0.5}, {0.7, 1}, {2.6, 3}}
	m, err := Prepare(t.Context(), band(t, 48000, 1, x), s, set)
	require.NoError(t, err)
	got := mixed(t, m)[0]
	level := func(at float64) float64 { return measure.DB(got[int(at*48000)] * 32768 / 8000) }
	for _, at := range []float64{0, 2.5, 2.79, 4.65, 5.3, 6.7, 11} {
		assert.InDelta(t, 0, level(at), 1e-4, "at %g s", at)
	}
	for _, at := range []float64{3, 3.4, 3.6, 3.9, 4, 5.6, 5.9, 6} {
		assert.InDelta(t, -6, level(at), 1e-4, "at %g s", at)
	}
	for i := 1; i < len(got); i++ {
		require.Less(t, math.Abs(got[i]-got[i-1]), 2e-4, "no step at %d", i)
	}
	assert.Less(t, level(2.9), -1.0)
	assert.Greater(t, level(2.9), -5.0)
}

// However loud the two are, the true peak stays under -1 dBTP, by a meter of its
// own, and the report says what that took.
func TestPeak(t *testing.T) {
	loud := noise(44100, 2, 7, 1)
	for _, c := range []struct{ depth, channels, rate int }{{16, 2, 44100}, {24, 1, 48000}, {16, 2, 48000}} {
		s, set := settings(c.rate, c.depth, c.channels)
		set.Above = 3
		m, err := Prepare(t.Context(), band(t, 44100, 2, loud), s, set)
		require.NoError(t, err)
		got := mixed(t, m)
		top := measure.TruePeak(got)
		assert.LessOrEqual(t, top, -1.0)
		assert.InDelta(t, m.Report().Peak, top, 0.15)
		assert.Less(t, m.Report().Gain, -1.0)
	}
	s, set := settings(48000, 24, 1)
	m, err := Prepare(t.Context(), band(t, 48000, 1, noise(48000, 1, 7, 0.25)), s, set)
	require.NoError(t, err)
	assert.InDelta(t, measure.TruePeak(mixed(t, m)), m.Report().Peak, 0.1)
	assert.Zero(t, m.Report().Gain)
}

// The mix is as long as the longer of the two, and at 24 bits in mono even.
func TestLength(t *testing.T) {
	for _, c := range []struct {
		start, seconds float64
		want           int64
	}{{0, 10, 480000}, {9, 10, 528000}, {30, 1, 32 * 48000}, {0, 0.00001, 96000}} {
		s, set := settings(48000, 16, 1)
		set.Start = c.start
		x := append(noise(48000, 1, c.seconds, 0.1), 1)[:max(1, int(c.seconds*48000))]
		m, err := Prepare(t.Context(), band(t, 48000, 1, x), s, set)
		require.NoError(t, err)
		assert.Equal(t, c.want, m.Frames())
		assert.Len(t, mixed(t, m)[0], int(c.want))
	}
	s, set := settings(48000, 24, 1)
	s.frames, set.Start = 3, 0
	m, err := Prepare(t.Context(), band(t, 48000, 1, []int16{1, 2, 3}), s, set)
	require.NoError(t, err)
	assert.EqualValues(t, 4, m.Frames())
}

// In a silent recording the sound has the loudness that is asked for else.
func TestSilentRecording(t *testing.T) {
	s, set := settings(48000, 24, 1)
	m, err := Prepare(t.Context(), band(t, 48000, 1, make([]int16, 48000)), s, set)
	require.NoError(t, err)
	assert.Equal(t, -200.0, m.Report().Recording)
	heard := measure.Cut(mixed(t, m)[0], 48000, 3, 5)
	assert.InDelta(t, -16, measure.Integrated([][]float64{heard}, 48000), 0.1)
}

func TestStops(t *testing.T) {
	s, set := settings(48000, 16, 1)
	rec := band(t, 48000, 1, noise(48000, 1, 7, 0.1))
	ctx, stop := context.WithCancel(t.Context())
	m, err := Prepare(ctx, rec, s, set)
	require.NoError(t, err)
	stop()
	assert.ErrorIs(t, m.WriteTo(ctx, io.Discard), context.Canceled)
	_, err = Prepare(ctx, rec, s, set)
	assert.ErrorIs(t, err, context.Canceled)
	full := errors.New("no space left")
	assert.ErrorIs(t, m.WriteTo(t.Context(), broken{full}), full)
}

type broken struct{ err error }

func (b broken) Write([]byte) (int, error) { return 0, b.err }
