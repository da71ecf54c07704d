package perform

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/tab"
	"reedlark/tab/score"
)

func TestBendsGlide(t *testing.T) {
	p := newPage()
	p.draw(3, "2", bent(2))
	p.draw(3, "1", bent(1))
	p.draw(3, "1", bent(1))
	p.draw(3, "1/8", bent(3), comma())
	p.draw(2, "1")
	p.blow(4, "1", over())
	sc := p.sounds(t, Settings{})
	from := []int{71, 69, 70, 71, 67, 75}
	to := []int{69, 70, 70, 68, 67, 75}
	for i, n := range sc.Notes {
		v := n.Voices[0]
		assert.InDelta(t, hz(from[i]), v.FromHz, .01, "note %d", i)
		assert.InDelta(t, hz(to[i]), v.Hz, .01, "note %d", i)
		assert.LessOrEqual(t, v.GlideSeconds, .12)
		assert.Less(t, v.GlideSeconds, .4*n.Seconds)
		assert.Equal(t, v.FromHz != v.Hz, v.GlideSeconds > 0)
	}
	assert.GreaterOrEqual(t, sc.Notes[0].Voices[0].GlideSeconds, .04)
	assert.InDelta(t, hz(71), sc.Notes[0].Voices[0].ReedHz, .01)
	for _, n := range p.sounds(t, Settings{Bends: Direct}).Notes {
		assert.Equal(t, n.Voices[0].Hz, n.Voices[0].FromHz)
	}
}

func TestOnsetsAndGaps(t *testing.T) {
	p := newPage()
	p.blow(4, "1")
	p.blow(5, "1")
	p.blow(5, "1")
	p.draw(5, "1")
	p.draw(6, "1", comma())
	p.rest("1")
	p.draw(6, "1/32")
	p.draw(6, "1/10")
	p.draw(6, "1")
	sc := p.sounds(t, Settings{Phrasing: Plain})
	assert.Equal(t, []score.Onset{
		score.FromSilence, score.Legato, score.Tongued, score.NewBreath, score.NewBreath, score.FromSilence, score.Tongued, score.Tongued,
	}, onsets(sc.Notes))
	between := func(note int, low, high float64) {
		assert.True(t, sc.Notes[note].Gap >= low && sc.Notes[note].Gap <= high, "gap after note %d: %g", note, sc.Notes[note].Gap)
	}
	between(0, 0, 0)
	between(1, .015, .040)
	between(2, .020, .060)
	between(3, .020, .060)
	between(4, 0, 0)
	between(5, 0, .6/32/4)
	between(6, .004, .06/4-.0079) // with a release of 8 ms at least, a quarter of the note
}

func TestAccents(t *testing.T) {
	p := newPage()
	p.blow(4, "1")
	p.blow(5, "1/2")
	p.blow(6, "1/2")
	p.blow(4, "1")
	p.metre(2, 4, "1")
	sc := p.sounds(t, Settings{Phrasing: Plain})
	assert.Greater(t, sc.Notes[1].Accent, sc.Notes[0].Accent)
	assert.Greater(t, sc.Notes[0].Accent, sc.Notes[2].Accent)
	assert.Equal(t, sc.Notes[0].Accent, sc.Notes[3].Accent)
	assert.Zero(t, sc.Notes[2].Accent)

	for _, n := range four().sounds(t, Settings{Phrasing: Plain}).Notes {
		assert.Equal(t, sc.Notes[0].Accent, n.Accent, "nothing says where beat one is")
	}
}

func TestShakeGoesThrough(t *testing.T) {
	p := newPage()
	p.note("45~", tab.Blow, []int{4, 5}, "1", shake())
	assert.True(t, p.sounds(t, Settings{}).Notes[0].Shake)
}
