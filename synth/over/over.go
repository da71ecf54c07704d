// Package over lays a sound over a recording somebody brings.
//
// The recording stays as it is, but for being lowered, if wished, while the
// sound is heard; the sound is made as loud as the recording, or so much louder
// or softer; and should the sum pass full scale, everything is lowered by as
// much as it takes, no more, and the report says by how much.
//
// The recording is read three times: once for its loudness, once for the true
// peak of the sum, once to write it. So the gain is known before the first
// sample is written, and nothing is held but a block of it: a recording of an
// hour takes no more memory than one of a minute, ten numbers a second apart.
// Where nothing is changed, the samples of the recording are written as they
// were, bit for bit.
package over

import (
	"context"
	"errors"
	"io"
	"math"

	"reedlark/synth/dsp"
	"reedlark/synth/loud"
	"reedlark/synth/recording"
	"reedlark/synth/resample"
)

// Sound is what is laid over: frames of 24 bits at the rate and in the channels
// of the mix.
type Sound interface {
	Frames() int64
	Samples(ctx context.Context, from, to int64, emit func(block []int32) error) error
}

// Span is a stretch of time, seconds from the start of the sound.
type Span struct{ From, To float64 }

// Settings is how the two go together.
type Settings struct {
	Rate     int // frames a second
	Depth    int // bits a sample: 16 or 24
	Channels int // 1 or 2

	Start    float64 // seconds into the recording at which the sound begins, 0 or more
	Sounding []Span  // when the sound is heard, in order
	Duck     float64 // dB by which the recording is lowered meanwhile, 0 or more
	Loudness float64 // LUFS: of the sound as it comes; -200 for silence
	Above    float64 // LU by which it is to be louder than the recording
	After    []byte  // chunks that stand after the samples, an even number of bytes
	Alone    float64 // LUFS at which it is played where the recording is silent
}

// Report is what is known of a mix before it is written.
type Report struct {
	Recording float64 // LUFS, integrated; -200 for silence
	Sound     float64 // LUFS, integrated; before Gain
	Peak      float64 // dBTP of the whole, after Gain
	Gain      float64 // dB by which everything was changed for its peak's sake; 0 or less
}

// Mix is a sound over a recording, ready to be written.
type Mix struct {
	rec    *recording.Recording
	sound  Sound
	set    Settings
	start  int64 // frame of the mix
	frames int64
	duck   ducking
	voice  float64 // gain of the sound
	gain   float64 // of everything
	report Report
}

// Prepare measures the recording and the mix. Errors are those of reading.
func Prepare(ctx context.Context, rec *recording.Recording, sound Sound, s Settings) (*Mix, error) {
	m := &Mix{rec: rec, sound: sound, set: s, start: int64(math.Round(s.Start * float64(s.Rate)))}
	m.frames = max(resample.Length(rec.Frames, rec.Rate, s.Rate), m.start+sound.Frames())
	if m.frameBytes()%2 != 0 {
		m.frames += m.frames % 2 // a file has an even number of bytes
	}
	m.duck = newDucking(s, m.start)
	if err := m.weigh(ctx); err != nil {
		return nil, err
	}
	return m, m.fit(ctx)
}

func (m *Mix) frameBytes() int64 { return int64(m.set.Channels * m.set.Depth / 8) }

// Frames is the length of the mix.
func (m *Mix) Frames() int64 { return m.frames }

// Report tells what is known of the mix.
func (m *Mix) Report() Report { return m.report }

// weigh finds how loud the recording is, and so the gain of the sound.
func (m *Mix) weigh(ctx context.Context) error {
	meter, band := newMeter(m.set.Rate, m.set.Channels), m.band()
	x := make([]float64, blockFrames*m.set.Channels)
	for {
		n, err := band.Read(x)
		meter.add(x[:n*m.set.Channels])
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	m.report.Recording = meter.loudness()
	wanted := m.report.Recording + m.set.Above
	if m.report.Recording <= silence {
		wanted = m.set.Alone
	}
	m.report.Sound = wanted
	m.voice = dsp.Gain(wanted - m.set.Loudness)
	if m.set.Loudness <= silence {
		m.report.Sound, m.voice = m.set.Loudness, 1
	}
	return nil
}

// silence is a loudness nobody hears, LUFS: under the meter's own gate.
const silence = -70.0

// How closely the true peak is looked for: at so many places from sample to sample,
// through so many samples on each side.
const (
	places = 8
	around = 24
)

// fit finds the gain under which the mix keeps its peak.
func (m *Mix) fit(ctx context.Context) error {
	peak := dsp.NewPeakMeter(m.set.Channels, places, around)
	if err := m.play(ctx, func(x []float64) error { peak.Add(x); return nil }); err != nil {
		return err
	}
	high := peak.End()
	m.gain = 1
	if limit := dsp.Gain(loud.MaxPeakDB); high > limit {
		m.gain = limit / high
		m.report.Gain = dsp.Decibels(m.gain)
	}
	m.report.Peak = dsp.Decibels(max(high*m.gain, 1e-10))
	return nil
}
