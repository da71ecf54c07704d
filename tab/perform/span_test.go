package perform

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/score"
)

func TestFromTo(t *testing.T) {
	p := four()
	sc := p.sounds(t, Settings{From: &Bound{Beat: 1}, To: &Bound{Beat: 3}, Tempo: 60})
	assert.Equal(t, []int{-4, 5}, holes(sc.Notes))
	assert.Equal(t, "1", sc.Notes[0].StartBeat.String())
	assert.Equal(t, "1", sc.Notes[1].Beats.String(), "cut at to")
	assert.InDelta(t, .015, sc.Notes[0].Start, 1e-9)
	assert.InDelta(t, 2.265, sc.Seconds, 1e-9)
	assert.Equal(t, "2", sc.Beats.String())

	late := p.sounds(t, Settings{From: &Bound{Beat: 2.5}, Tempo: 60})
	assert.Equal(t, []int{6}, holes(late.Notes), "what began before is not heard")
	assert.InDelta(t, 1.5, late.Notes[0].Start, 1e-9, "a part that starts with silence needs no lead-in")
}

func TestFromARoundedBeat(t *testing.T) {
	p := newPage()
	for range 4 {
		p.blow(4, "1/3")
	}
	sc := p.sounds(t, Settings{From: &Bound{Beat: .666667}, To: &Bound{Beat: .999999}})
	require.Len(t, sc.Notes, 1)
	assert.Equal(t, "2/3", sc.Notes[0].StartBeat.String())
	assert.Equal(t, "1/3", sc.Notes[0].Beats.String())
}

func lines() *page {
	p := newPage()
	for _, hole := range []int{4, 5, 6, 5} {
		p.blow(hole, "2")
	}
	for i, line := range []int{2, 3, 5, 3} {
		p.piece.Marks = append(p.piece.Marks,
			tab.Mark{Line: line, At: rat([]string{"0", "2", "4", "6"}[i])},
			tab.Mark{Line: line, At: rat([]string{"2", "4", "6", "8"}[i]), Leave: true})
	}
	return p
}

func TestFromToLines(t *testing.T) {
	cases := []struct {
		from, to int
		holes    []int
	}{
		{0, 0, []int{4, 5, 6, 5}},
		{3, 0, []int{5, 6, 5}},
		{0, 3, []int{4, 5}},
		{3, 3, []int{5}},
		{5, 3, []int{6, 5}},
		{2, 5, []int{4, 5, 6}},
	}
	for _, c := range cases {
		s := Settings{}
		if c.from > 0 {
			s.From = &Bound{Line: c.from}
		}
		if c.to > 0 {
			s.To = &Bound{Line: c.to}
		}
		assert.Equal(t, c.holes, holes(lines().sounds(t, s).Notes), "from line %d to %d", c.from, c.to)
	}
	mixed := lines().sounds(t, Settings{From: &Bound{Beat: 4}, To: &Bound{Line: 3}})
	assert.Equal(t, []int{6, 5}, holes(mixed.Notes))
}

func TestEmptyParts(t *testing.T) {
	cases := map[string]Settings{
		"backwards":        {From: &Bound{Beat: 3}, To: &Bound{Beat: 2}},
		"nothing":          {From: &Bound{Beat: 3}, To: &Bound{Beat: 3}},
		"after the end":    {From: &Bound{Beat: 8}},
		"no number":        {From: &Bound{Beat: math.NaN()}},
		"lines backwards":  {From: &Bound{Line: 5}, To: &Bound{Line: 2}},
		"no line of tab":   {From: &Bound{Line: 4}},
		"no such line":     {To: &Bound{Line: 99}},
		"line after beats": {From: &Bound{Beat: 2}, To: &Bound{Line: 2}},
	}
	for name, s := range cases {
		sc, problems := lines().play(s)
		assert.Nil(t, sc, name)
		require.Len(t, problems, 1, name)
		assert.Equal(t, diag.Error, problems[0].Severity, name)
		assert.Equal(t, diag.RangeEmpty, problems[0].Code, name)
	}
}

func TestASilentPart(t *testing.T) {
	p := newPage()
	p.blow(4, "1")
	p.rest("4")
	sc, problems := p.play(Settings{From: &Bound{Beat: 2}, To: &Bound{Beat: 4}, Tempo: 60})
	require.Len(t, problems, 1)
	assert.Equal(t, diag.Warning, problems[0].Severity)
	assert.Equal(t, diag.RangeSilent, problems[0].Code)
	assert.Empty(t, sc.Notes)
	assert.InDelta(t, 2.25, sc.Seconds, 1e-9)
}

func TestAPartOfNothingButSkippedBrackets(t *testing.T) {
	doc := tab.Parse("4 (5) 6\n", tab.Options{})
	for brackets, want := range map[Brackets]int{Skip: 1, Soft: 0} {
		sc, problems := Perform(doc, Settings{From: &Bound{Beat: 1}, To: &Bound{Beat: 2}, Brackets: brackets})
		require.Len(t, problems, want, brackets)
		assert.Len(t, sc.Notes, 1-want)
	}
}

func TestSlideAtTheCut(t *testing.T) {
	p := newPage()
	p.slide(p.blow(4, "1"))
	p.blow(7, "1")
	sc := p.sounds(t, Settings{To: &Bound{Beat: 1}, Repeat: 2})
	assert.Equal(t, []int{4, 4}, holes(sc.Notes))
	sc = p.sounds(t, Settings{From: &Bound{Beat: 1}})
	assert.Equal(t, []int{7}, holes(sc.Notes))
	assert.Equal(t, score.FromSilence, sc.Notes[0].Onset)
}
