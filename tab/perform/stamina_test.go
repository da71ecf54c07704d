package perform_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/perform"
)

// A beat is a second at tempo 60. What lies well on either side of a learner's
// breath and of the way of a mouth: common practice, no source.
func TestNoTimeToBreatheOrLeap(t *testing.T) {
	cases := []struct {
		name, page string
		tempo      float64
		want       []string // code line:column+length
	}{
		{"a tune of every day", "4 4 -4 5 | 6- 6 -5 | 5 5 -4 4 |", 100, nil},
		{"one long note", "-2-------------", 60, []string{"long-breath 1:1+2"}},
		{"a run of notes", "4---- 5---- 6---", 60, []string{"long-breath 1:1+1"}},
		{"it begins after a turn of the air", "-4 4---- 5---- 6---", 60, []string{"long-breath 1:4+1"}},
		{"a breath is marked", "4---- 5---- , 6---", 60, nil},
		{"a rest", "4---- 5---- r 6---", 60, nil},
		{"a new line", "4---- 5----\n6----", 60, nil},
		{"a turn of the air", "4---- 5-- -5- 6---", 60, nil},
		{"faster", "4---- 5---- 6---", 90, nil},
		{"two places", "4---- 5---- 6---\n-4---- -5---- -6---", 60, []string{"long-breath 1:1+1", "long-breath 2:1+2"}},
		{"a line played again is told once", "4---- 5---- 6--- x3", 60, []string{"long-breath 1:1+1"}},
		{"four holes in a tenth of a second", "{1 5}", 300, []string{"wide-leap 1:4+1"}},
		{"nine holes down in a quarter", "{10 1}", 120, []string{"wide-leap 1:5+1"}},
		{"nine holes in half a second", "{10 1}", 60, nil},
		{"three holes at speed", "{1 4 1 4}", 300, nil},
		{"an octave reaches halfway", "{14 6}", 300, nil},
		{"a slide passes the holes between", "1 -> 9 7", 400, nil},
		{"a grace from far away", "4 (1)7", 100, []string{"wide-leap 1:6+1"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			doc := tab.Parse(c.page, tab.Options{})
			for _, rounds := range []int{1, 3} {
				_, problems := perform.Perform(doc, perform.Settings{Tempo: c.tempo, Repeat: rounds})
				assert.Equal(t, c.want, placed(doc, problems), "%d rounds", rounds)
			}
		})
	}
}

func placed(doc *tab.Document, problems diag.List) (out []string) {
	for _, d := range doc.Source.PlaceAll(problems) {
		out = append(out, fmt.Sprintf("%s %d:%d+%d", d.Code, d.Line, d.Column, d.Length))
	}
	return out
}

// What is doubtful never refuses a page, and is no medical advice: it says when
// to stop.
func TestStaminaIsNoted(t *testing.T) {
	doc := tab.Parse("-2-------------", tab.Options{})
	sc, problems := perform.Perform(doc, perform.Settings{Tempo: 60})
	require.NotNil(t, sc)
	require.Len(t, problems, 1)
	assert.Equal(t, diag.Note, problems[0].Severity)
	assert.Equal(t, "From here on there are 14 seconds of drawing without a place to breathe.", problems[0].Message)
	assert.True(t, strings.HasSuffix(problems[0].Hint, "stop when you are short of breath or dizzy"), problems[0].Hint)
}
