package synth

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// quiet switches the breath off, so that reeds can be measured alone.
const quiet = -300.0

// dry is what most measurements are made at.
var dry = Settings{Rate: 48000, Depth: 24, Channels: 1, Loudness: -20}

// pitch is the frequency of a MIDI note, Hz, to a millionth, which is the same
// on every processor. ref: MIDI Tuning Standard.
func pitch(midi float64) float64 {
	return math.Round(440e6*math.Pow(2, (midi-69)/12)) / 1e6
}

// note is a plain note of some MIDI pitches, blown out of silence.
func note(start, seconds float64, midi ...float64) score.Note {
	n := score.Note{Start: start, Seconds: seconds, Role: score.Melody}
	for _, m := range midi {
		n.Voices = append(n.Voices, score.Voice{
			Hz: pitch(m), FromHz: pitch(m), ReedHz: pitch(m), Breath: score.Blow, Technique: score.Plain,
		})
	}
	return n
}

// then is a note that follows at once, begun as given; the gap is the breath
// or the tongue before it.
func then(before *score.Note, onset score.Onset, gap, seconds float64, midi ...float64) score.Note {
	before.Gap = gap
	n := note(before.Start+before.Seconds, seconds, midi...)
	n.Onset = onset
	return n
}

// tune is a score of notes, with a tail of a quarter of a second.
func tune(notes ...score.Note) *score.Score {
	sc := &score.Score{Notes: notes, Seconds: 0.25}
	if len(notes) > 0 {
		last := notes[len(notes)-1]
		sc.Seconds += last.Start + last.Seconds
	}
	return sc
}

// blows are the tones of a sound, those that begin together as one.
func blows(s *Sound) (out [][]*reed.Tone) {
	for _, part := range s.plan.parts {
		tone, ok := part.(*reed.Tone)
		switch last := len(out) - 1; {
		case !ok:
		case last >= 0 && out[last][0].First == tone.First:
			out[last] = append(out[last], tone)
		default:
			out = append(out, []*reed.Tone{tone})
		}
	}
	return out
}

// listen renders a whole score to one slice a channel, full scale being 1.
func listen(t testing.TB, sc *score.Score, set Settings, breathDB float64) [][]float64 {
	t.Helper()
	s, err := prepare(sc, set, breathDB)
	require.NoError(t, err)
	return channels(frames(t, s, 0, s.Frames()), set)
}

// frames renders a range.
func frames(t require.TestingT, s *Sound, from, to int64) []int32 {
	var out []int32
	require.NoError(t, s.Samples(context.Background(), from, to, func(block []int32) error {
		out = append(out, block...)
		return nil
	}))
	require.Len(t, out, int(to-from)*s.set.Channels)
	return out
}

// channels parts interleaved samples.
func channels(samples []int32, set Settings) [][]float64 {
	out := make([][]float64, set.Channels)
	for i, v := range samples {
		c := i % set.Channels
		out[c] = append(out[c], float64(v)/float64(int64(1)<<(set.Depth-1)))
	}
	return out
}
