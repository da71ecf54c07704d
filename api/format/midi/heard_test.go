package midi_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api/format/midi"
	"reedlark/tab"
	"reedlark/tab/perform"
	"reedlark/tab/score"
)

// played is the score of a page.
func played(t *testing.T, page string, s perform.Settings) *score.Score {
	t.Helper()
	doc := tab.Parse(page, tab.Options{})
	require.Empty(t, doc.Problems)
	sc, problems := perform.Perform(doc, s)
	require.Empty(t, problems)
	return sc
}

// sung is one note as a receiver would play it: what the file says about keys,
// wheels and controllers, put together.
type sung struct {
	channel  byte
	key      int
	beat     float64 // from the start of the file
	beats    float64
	velocity int
	moves    []move // the first is where the pitch begins
}

type move struct {
	beat  float64 // from the start of the note
	pitch float64 // a MIDI number with its fraction
}

// at is the pitch so many beats into the note.
func (s sung) at(beat float64) (pitch float64) {
	for _, m := range s.moves {
		if m.beat <= beat+1e-9 {
			pitch = m.pitch
		}
	}
	return pitch
}

// receiver is a channel of a synthesizer: its wheel, and how far that reaches.
type receiver struct {
	reach float64 // semitones
	wheel float64 // -1 to 1
	rpn   [2]byte
	note  int // in the list; -1 for none
}

// heard plays a file as General MIDI has it: a wheel reaches two semitones
// until registered parameter 0 says otherwise.
func heard(t *testing.T, file []byte) (notes []sung) {
	t.Helper()
	tracks, division := read(t, file)
	var channels [16]receiver
	for i := range channels {
		channels[i] = receiver{reach: 2, note: -1, rpn: [2]byte{127, 127}}
	}
	beats := func(tick int) float64 { return float64(tick) / float64(division) }
	for _, m := range tracks[len(tracks)-1] {
		c := &channels[m.channel]
		switch {
		case m.kind == 0xb0:
			c.controller(m.data)
		case m.kind == 0xe0:
			c.wheel = (float64(int(m.data[1])<<7|int(m.data[0])) - 8192) / 8192
			if c.note >= 0 {
				n := &notes[c.note]
				n.moves = append(n.moves, move{beats(m.tick) - n.beat, float64(n.key) + c.wheel*c.reach})
			}
		case m.kind == 0x90 && m.data[1] > 0:
			require.Equal(t, -1, c.note, "a channel with two notes at beat %g", beats(m.tick))
			c.note = len(notes)
			key := int(m.data[0])
			notes = append(notes, sung{
				channel: m.channel, key: key, beat: beats(m.tick), velocity: int(m.data[1]),
				moves: []move{{0, float64(key) + c.wheel*c.reach}},
			})
		case m.kind == 0x80 || m.kind == 0x90:
			require.GreaterOrEqual(t, c.note, 0, "nothing to end at beat %g", beats(m.tick))
			n := &notes[c.note]
			require.Equal(t, n.key, int(m.data[0]))
			n.beats, c.note = beats(m.tick)-n.beat, -1
		}
	}
	for i, c := range channels {
		require.Equal(t, -1, c.note, "channel %d sounds for ever", i+1)
	}
	return notes
}

func (c *receiver) controller(data []byte) {
	switch data[0] {
	case 101:
		c.rpn[0] = data[1]
	case 100:
		c.rpn[1] = data[1]
	case 6:
		if c.rpn == [2]byte{} {
			c.reach = float64(data[1])
		}
	}
}

// file is the MIDI file of a page.
func file(t *testing.T, page string, s perform.Settings) []byte {
	t.Helper()
	out, err := midi.Write(t.Context(), played(t, page, s), midi.Words{})
	require.NoError(t, err)
	return out
}

// number is a pitch in hertz as a MIDI number. ref: MIDI Tuning Standard.
func number(hz float64) float64 { return 69 + 12*math.Log2(hz/440) }
