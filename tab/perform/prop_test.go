package perform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/chord"
	"reedlark/tab/score"
)

// anyPage draws a page of notes, rests, graces, filler, bends and slides.
func anyPage(t *rapid.T) *page {
	p := newPage()
	for range rapid.IntRange(1, 30).Draw(t, "events") {
		switch rapid.IntRange(0, 5).Draw(t, "kind") {
		case 0:
			p.rest(anyBeats(t))
		case 1:
			anySlide(t, p, p.note("(g)", anyBreath(t), anyHoles(t), "0", role(tab.Grace)))
		case 2:
			p.note("n", anyBreath(t), anyHoles(t), "1/2")
			anySlide(t, p, p.note("n", anyBreath(t), anyHoles(t), "1/2", swung()))
		default:
			anySlide(t, p, p.note("n", anyBreath(t), anyHoles(t), anyBeats(t), anyMarks(t)...))
		}
	}
	p.blow(4, "1")
	if rapid.Bool().Draw(t, "bars") {
		p.metre(rapid.IntRange(1, 7).Draw(t, "metre"), 4, rapid.SampledFrom([]string{"0", "1/2", "1"}).Draw(t, "pickup"))
	}
	return p
}

func anyBreath(t *rapid.T) tab.Breath {
	return rapid.SampledFrom([]tab.Breath{tab.Blow, tab.Draw}).Draw(t, "breath")
}

func anyHoles(t *rapid.T) []int {
	return rapid.SliceOfNDistinct(rapid.IntRange(1, 10), 1, 3, rapid.ID[int]).Draw(t, "holes")
}

func anyBeats(t *rapid.T) string {
	return rapid.SampledFrom([]string{"1", "1/2", "1/3", "1/16", "4", "7/5"}).Draw(t, "beats")
}

func anyMarks(t *rapid.T) []as {
	marks := []as{role(rapid.SampledFrom([]tab.Role{tab.Melody, tab.Melody, tab.Filler}).Draw(t, "role"))}
	switch rapid.IntRange(0, 3).Draw(t, "mark") {
	case 0:
		marks = append(marks, bent(rapid.IntRange(1, 12).Draw(t, "bend")))
	case 1:
		marks = append(marks, over())
	case 2:
		marks = append(marks, comma())
	}
	return marks
}

func anySlide(t *rapid.T, p *page, n *tab.Note) {
	switch rapid.IntRange(0, 6).Draw(t, "slide") {
	case 0:
		p.slide(n)
	case 1:
		at := p.write("->")
		n.SlideOff = &at
		p.fresh = true
	case 2:
		at := p.write("->")
		n.SlideIn = &at
	}
}

func anySettings(t *rapid.T) Settings {
	s := Settings{
		Tempo:    rapid.Float64Range(20, 400).Draw(t, "tempo"),
		Swing:    rapid.Float64Range(.5, .75).Draw(t, "swing"),
		Brackets: rapid.SampledFrom([]Brackets{Soft, Full, Skip}).Draw(t, "brackets"),
		Bends:    rapid.SampledFrom([]Bends{Glide, Direct}).Draw(t, "bends"),
		Repeat:   rapid.IntRange(1, 3).Draw(t, "repeat"),
		CountIn:  rapid.IntRange(0, 4).Draw(t, "count-in"),
		Click:    rapid.Bool().Draw(t, "click"),
	}
	if rapid.Bool().Draw(t, "part") {
		s.From = &Bound{Beat: rapid.Float64Range(0, 10).Draw(t, "from")}
		s.To = &Bound{Beat: s.From.Beat + rapid.Float64Range(.01, 10).Draw(t, "beats")}
	}
	return s
}

// Whatever is written, the notes come in order, one after the other, inside the
// sound, and none takes more from its neighbour than it may.
func TestAnyScore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, s := anyPage(t), anySettings(t)
		sc, problems := p.play(s)
		if sc == nil {
			require.NotEmpty(t, problems)
			return
		}
		const eps = 1e-6
		end := 0.0
		for i, n := range sc.Notes {
			require.GreaterOrEqual(t, n.Start, Lead-eps, "a voice speaks a little early")
			require.Greater(t, n.Seconds, 0.0, "note %d", i)
			require.GreaterOrEqual(t, n.Start, end-eps, "note %d begins before the one before ends", i)
			end = n.Start + n.Seconds
			require.LessOrEqual(t, n.Gap, n.Seconds/4+eps)
			checkVoices(t, n)
			if n.Role == score.Slide || n.Role == score.Grace {
				require.Zero(t, n.Beats.Sign())
			}
		}
		require.LessOrEqual(t, end, sc.Seconds-Tail+eps)
		last := 0.0
		for _, c := range sc.Clicks {
			require.GreaterOrEqual(t, c.Start, last)
			last = c.Start
		}
		require.LessOrEqual(t, last, sc.Seconds-Tail)
	})
}

func checkVoices(t *rapid.T, n score.Note) {
	require.NotEmpty(t, n.Voices)
	for _, v := range n.Voices {
		require.True(t, v.Hz > 0 && v.FromHz > 0 && v.ReedHz > 0)
		require.LessOrEqual(t, v.GlideSeconds, n.Seconds)
		require.Equal(t, v.FromHz == v.Hz, v.GlideSeconds == 0)
		if n.Role != score.Slide && v.Technique != score.Bend {
			require.Equal(t, v.Hz, v.FromHz)
		}
		if n.Onset == score.Passed || n.Onset == score.Tied {
			reshaped := n.Onset == score.Tied && v.Technique == score.Bend
			require.True(t, n.Role == score.Slide || reshaped || v.FromHz == v.Hz, "a landing does not scoop")
		}
	}
}

// A note with beats starts where its beats say and keeps at least half of them.
func TestAnyNoteIsInTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPage(t)
		tempo := rapid.Float64Range(60, 400).Draw(t, "tempo")
		sc, _ := p.play(Settings{Tempo: tempo})
		var zero *float64
		for _, n := range sc.Notes {
			if n.Beats.Sign() == 0 {
				continue
			}
			start := n.StartBeat.Float()
			beats := n.Beats.Float()
			at := n.Start - start*60/tempo
			if zero == nil {
				zero = &at
			}
			assert.InDelta(t, *zero, at, 1e-9)
			assert.GreaterOrEqual(t, n.Seconds, beats*30/tempo-1e-9)
			assert.LessOrEqual(t, n.Seconds, beats*60/tempo+1e-9)
		}
	})
}

// Wherever chords change, what plays along begins before it ends, and so do the
// chords.
func TestAnyBackingIsInTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, s := anyPage(t), anySettings(t)
		s.Backing = Chords
		at := beat.Time{}
		for i := range 6 {
			p.piece.Chords = append(p.piece.Chords, tab.Change{At: at, Chord: chord.Chord{Root: i, Bass: i, Tones: []int{0, 4, 7}}})
			at = at.Plus(rat(anyBeats(t)))
		}
		sc, _ := p.play(s)
		if sc == nil {
			return
		}
		for _, b := range sc.Backing {
			require.Positive(t, b.Seconds, "%v at %s", b.Player, b.StartBeat)
		}
		for _, c := range sc.Chords {
			require.Positive(t, c.Seconds, "chord at %s", c.StartBeat)
		}
	})
}

// The longest piece there may be, over and over: the cost is that of the notes.
func BenchmarkPerform(b *testing.B) {
	p := newPage()
	for range MaxNotes / 2 {
		p.slide(p.draw(3, "1/4", bent(2)))
		p.draw(3, "1/4")
	}
	for b.Loop() {
		p.sounds(b, Settings{Tempo: 400})
	}
}
