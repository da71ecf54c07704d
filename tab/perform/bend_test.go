package perform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/score"
)

// A player goes from one bend to another on one breath (common practice, no
// source; 50 to 120 ms for the step).
func TestOnlyTheMouthChangesItsShape(t *testing.T) {
	p := newPage()
	p.draw(3, "1", bent(1))
	p.draw(3, "1", bent(3))
	p.draw(3, "1")
	notes := p.sounds(t, Settings{Bends: Glide}).Notes
	require.Len(t, notes, 3)
	assert.Equal(t, []score.Onset{score.FromSilence, score.Tied, score.Tongued}, onsets(notes))
	assert.Zero(t, notes[0].Gap, "nothing stops between two bends")
	step := notes[1].Voices[0]
	assert.Equal(t, notes[0].Voices[0].Hz, step.FromHz)
	assert.InDelta(t, 0.085, step.GlideSeconds, 0.035)
	assert.Equal(t, notes[2].Voices[0].Hz, notes[2].Voices[0].FromHz, "a plain note is struck where it stays")
	direct := p.sounds(t, Settings{Bends: Direct}).Notes
	assert.Equal(t, score.Tongued, direct[1].Onset)
}

// A note that trembles and one that does not are no single sound: the vibrato
// begins with the note it is written on, and ends with it.
func TestVibratoStaysOnItsNote(t *testing.T) {
	p := newPage()
	p.draw(3, "1", bent(1))
	p.draw(3, "1", bent(2), shake())
	p.draw(3, "1", bent(1), shake())
	slid := p.draw(3, "1", bent(2))
	p.slide(slid)
	p.draw(3, "1", shake())
	notes := p.sounds(t, Settings{Bends: Glide}).Notes
	require.Len(t, notes, 6)
	assert.Equal(t, []score.Onset{
		score.FromSilence, score.Tongued, score.Tied, score.Tongued, score.Passed, score.Passed,
	}, onsets(notes))
	landing := notes[5].Voices[0]
	assert.Equal(t, landing.Hz, landing.FromHz, "a landing begins where it stays")
	assert.Equal(t, landing.Hz, notes[4].Voices[0].Hz, "the glide ends there")
}
