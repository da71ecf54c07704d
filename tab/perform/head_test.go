package perform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/score"
)

func TestWhatNoReedCanDo(t *testing.T) {
	p := newPage()
	p.draw(7, "1", bent(1))
	p.draw(3, "1", bent(4))
	p.note("-34/", tab.Draw, []int{3, 4}, "1", bent(2))
	p.blow(7, "1", over())
	p.blow(2, "1", over())
	p.draw(3, "1", bent(3))
	p.blow(4, "1", over())
	p.piece.Events = append(p.piece.Events, p.piece.Events...) // a repeat is not told twice
	sc, problems := p.play(Settings{Tempo: 200})
	require.Len(t, problems, 5)
	want := []diag.Problem{
		{Severity: diag.Warning, Code: diag.BendTooDeep, Span: diag.Span{Start: 0, End: 2}},
		{Severity: diag.Warning, Code: diag.BendTooDeep, Span: diag.Span{Start: 3, End: 5}, Hint: "bend it by three semitones at most"},
		{Severity: diag.Warning, Code: diag.BendTooDeep, Span: diag.Span{Start: 6, End: 10}, Hint: "bend it by one semitone at most"},
		{Severity: diag.Warning, Code: diag.OverNone, Span: diag.Span{Start: 11, End: 13}, Hint: "the over of this hole is on the draw"},
		{Severity: diag.Note, Code: diag.OverRare, Span: diag.Span{Start: 14, End: 16}},
	}
	for i := range want {
		want[i].Message = problems[i].Message
		assert.NotEmpty(t, want[i].Message)
		assert.Equal(t, want[i], problems[i])
	}
	assert.Equal(t, 82, sc.Notes[0].Voices[0].Midi, "it sounds as written")
	assert.Equal(t, 67, sc.Notes[1].Voices[0].Midi)
}

func TestEighthsAreTold(t *testing.T) {
	p := four()
	p.metre(6, 8, "0")
	_, problems := p.play(Settings{Tempo: 80})
	require.Len(t, problems, 1)
	assert.Equal(t, diag.BeatIsEighth, problems[0].Code)
	assert.Contains(t, problems[0].Message, "240")
	p.sounds(t, Settings{Tempo: 100})
}

func TestPageChoosesTheHarp(t *testing.T) {
	at := diag.Span{Start: 6, End: 9}
	cases := []struct {
		harp, layout, tuning string
		isKey                bool
		want                 score.Harp
		codes                []diag.Code
	}{
		{"", "", "", false, score.Harp{Key: "C", Layout: "richter", Tuning: "equal"}, nil},
		{"low f", "Natural minor", "Just", false, score.Harp{Key: "low F", Layout: "natural-minor", Tuning: "just"}, nil},
		{"Bb, ten holes", "", "", false, score.Harp{Key: "Bb", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.HeaderRest}},
		{"H", "", "", false, score.Harp{Key: "C", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.HarpUnknown}},
		{"A", "wooden", "loud", false, score.Harp{Key: "A", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.HarpUnknown, diag.HarpUnknown}},
		{"A", "", "", true, score.Harp{Key: "A", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.KeyAsHarp}},
		{"Am", "", "", true, score.Harp{Key: "C", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.KeyNotRead}},
		{"G major", "", "", true, score.Harp{Key: "C", Layout: "richter", Tuning: "equal"}, []diag.Code{diag.KeyNotRead}},
	}
	for _, c := range cases {
		p := four()
		p.doc.Head = tab.Head{Harp: tab.Field{Value: c.harp, Span: at}, IsKey: c.isKey, Layout: tab.Field{Value: c.layout, Span: at}, Tuning: tab.Field{Value: c.tuning, Span: at}}
		sc, problems := p.play(Settings{})
		c.want.A4 = 440
		assert.Equal(t, c.want, sc.Harp, "%+v", c)
		var codes []diag.Code
		for _, problem := range problems {
			codes = append(codes, problem.Code)
			assert.Equal(t, at, problem.Span)
		}
		assert.Equal(t, c.codes, codes, "%+v", c)
	}
}

func TestTheCallerWins(t *testing.T) {
	p := four()
	p.doc.Head = tab.Head{Harp: tab.Field{Value: "A"}, Layout: tab.Field{Value: "solo"}, Tuning: tab.Field{Value: "just"}, Tempo: 90, Title: "A tune"}
	key, err := harp.ParseKey("G")
	require.NoError(t, err)
	layout, err := harp.LayoutByName("country")
	require.NoError(t, err)
	sc := p.sounds(t, Settings{Harp: &key, Layout: &layout, Tuning: harp.Compromise, A4: 442, Tempo: 200, Position: 2})
	assert.Equal(t, score.Harp{Key: "G", Layout: "country", Tuning: "compromise", A4: 442}, sc.Harp)
	assert.Equal(t, 200.0, sc.Tempo)
	assert.Equal(t, "D", sc.SongKey)
	assert.Equal(t, 2, sc.Position)
	assert.Equal(t, "A tune", sc.Title)
	assert.Equal(t, 90.0, p.sounds(t, Settings{}).Tempo, "else the page")
}
