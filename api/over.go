//go:build !js

package api

import (
	"context"
	"errors"
	"fmt"
	"io"

	"reedlark/synth"
	"reedlark/synth/over"
	"reedlark/synth/recording"
	"reedlark/synth/wav"
	"reedlark/tab/score"
)

// Overlay says how a piece is laid over a recording.
type Overlay struct {
	At    float64 // seconds into the recording at which the first beat falls, 0 to 14,400
	Duck  float64 // dB by which the recording is lowered while the harp sounds, 0 to 40
	Above float64 // LU by which the harp is louder than the recording, -20 to 20
}

// check refuses what lies outside; NaN lies outside everything.
func (o Overlay) check() error {
	for _, c := range []struct {
		name           string
		value, low, up float64
		allowed        string
	}{
		{"at", o.At, 0, 14_400, "0 to 14400 seconds into the recording"},
		{"duck", o.Duck, 0, 40, "0 to 40 dB"},
		{"above", o.Above, -20, 20, "-20 to 20 LU"},
	} {
		if !(c.value >= c.low && c.value <= c.up) {
			return &CallError{Kind: NotAllowed, Parameter: c.name, Allowed: c.allowed, Detail: fmt.Sprintf("%s is %g", c.name, c.value)}
		}
	}
	return nil
}

// Recording is a WAV file somebody brings.
type Recording struct{ wav *recording.Recording }

// OpenRecording looks through a WAV file of so many bytes: one or two channels
// of 8, 16, 24 or 32 bits, or of 32 or 64 bits of floating point, at any rate.
// The error is a *CallError where the file is broken or of another kind.
func OpenRecording(file io.ReaderAt, size int64) (*Recording, error) {
	r, err := recording.Open(file, size)
	return &Recording{r}, asRecording(err)
}

// asRecording blames the call for a file that cannot be read as sound.
func asRecording(err error) error {
	var refused *recording.Refusal
	if errors.As(err, &refused) {
		return &CallError{Kind: Malformed, Detail: refused.Reason}
	}
	return err
}

// Like asks for a sound of the recording's rate, depth and channels, or what is
// next to them of what there is.
func (r *Recording) Like(req *Request) {
	req.Rate, req.Channels, req.Depth = 48000, r.wav.Channels, 24
	if r.wav.Rate == 22050 || r.wav.Rate == 44100 {
		req.Rate = r.wav.Rate
	}
	if r.wav.Depth <= 16 {
		req.Depth = 16
	}
}

// Mix is a piece over a recording, ready to be written.
type Mix struct {
	mix   *over.Mix
	req   Request
	first float64
}

// quiet is the loudness the harp is made at before it is brought to that of
// the recording, LUFS: low enough that its own peaks never count.
const quiet = -30

// Over lays the piece over a recording, which is read twice here and a third
// time when the mix is written. The result has the rate, depth and channels of
// the request; its loudness is that of the recording. The error is a
// *CallError where the overlay is not allowed or the recording is broken.
func (p *Piece) Over(ctx context.Context, r *Recording, o Overlay) (*Mix, error) {
	start, err := p.begin(o)
	if err != nil {
		return nil, err
	}
	set := p.sounding()
	set.Depth, set.Loudness = 24, quiet
	played := p.heard()
	sound, err := synth.Prepare(played, set)
	if err != nil {
		return nil, err
	}
	mix, err := over.Prepare(ctx, r.wav, sound, over.Settings{
		Rate: p.req.Rate, Depth: p.req.Depth, Channels: p.req.Channels,
		Start: start, Sounding: sounding(played.Notes), Duck: o.Duck,
		Loudness: sound.Report().Loudness, Above: o.Above, Alone: p.req.Loudness,
		After: wav.Cues(p.cues(start)),
	})
	if err != nil {
		return nil, asRecording(err)
	}
	if _, err := mix.Header(); err != nil {
		return nil, &CallError{Kind: TooLarge, Detail: "the result would be over 4 GiB, which no WAV file holds: ask for a lower rate or depth, or one channel"}
	}
	return &Mix{mix, p.req, start + p.score.Zero}, nil
}

// begin is the second of the recording at which the sound begins. What leads
// into the first beat may put it off a little; a count-in has to fit.
func (p *Piece) begin(o Overlay) (float64, error) {
	if err := o.check(); err != nil {
		return 0, err
	}
	if p.req.Mix == mixSplit {
		return 0, &CallError{Kind: NotAllowed, Parameter: "mix", Allowed: "all, melody or backing", Detail: "mix is split, and a recording has no side of its own in that"}
	}
	start := o.At - p.score.Zero
	if start < 0 && p.req.CountIn > 0 {
		return 0, &CallError{
			Kind: NotAllowed, Parameter: "at", Allowed: fmt.Sprintf("%.3g seconds or more", p.score.Zero),
			Detail: fmt.Sprintf("at is %g, and the count-in takes %.3g seconds before the first beat", o.At, p.score.Zero),
		}
	}
	return max(start, 0), nil
}

// sounding is when notes sound.
func sounding(notes []score.Note) []over.Span {
	out := make([]over.Span, len(notes))
	for i, n := range notes {
		out[i] = over.Span{From: n.Start, To: n.Start + n.Seconds}
	}
	return out
}

// MixReport is what is known of a mix before it is written.
type MixReport struct {
	FirstBeat float64 // seconds into the recording; later than asked for where what leads into it needs time
	Seconds   float64 // length of the whole
	Recording float64 // LUFS, integrated; -200 for silence
	Harp      float64 // LUFS, integrated, before Gain
	Peak      float64 // dBTP of the whole
	Gain      float64 // dB by which everything was lowered so that its peaks fit; 0 or less
}

// Report tells what is known of the mix.
func (m *Mix) Report() MixReport {
	r := m.mix.Report()
	return MixReport{
		FirstBeat: m.first, Seconds: float64(m.mix.Frames()) / float64(m.req.Rate),
		Recording: r.Recording, Harp: r.Sound, Peak: r.Peak, Gain: r.Gain,
	}
}

// Size is the length of the file in bytes.
func (m *Mix) Size() int64 { return m.mix.Size() }

// WriteTo writes the whole file. It fails when ctx ends, when w does, or when
// the recording has changed; nothing it wrote is whole then.
func (m *Mix) WriteTo(ctx context.Context, w io.Writer) error {
	return asRecording(m.mix.WriteTo(ctx, w))
}
