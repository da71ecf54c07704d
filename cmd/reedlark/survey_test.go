package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSurvey(t *testing.T) {
	pages := map[string]string{
		"old/a.txt": "Harp: g\nTempo: 90\n" + good, "old/b.txt": "Key: G\nB4 D4 B5\n4 B5\n5 D5\n", "old/caf\u00e9.txt": "caf\xe9 bar\n4 -4\n",
		"old/bad.txt": bad + bad, "old/unit/c.txt": good,
	}
	folder(t, pages)
	got := call(t, "", "survey", "old", "none.txt")
	assert.Equal(t, 2, got.code)
	assert.Contains(t, got.err, "none.txt: there is no such file")
	assert.Contains(t, got.out, "5 pages: 4 can be played, 1 with a question\n"+
		"read as   signs 4, letters 1\n"+
		"harp      not named 3, G 2\n"+
		"tempo     not named 4, 90 1\n"+
		"encoding  UTF-8 4, Windows-1252 1\n")
	assert.Contains(t, got.out, "\nold/b.txt:3:1: 4 does not say blow or draw, and is blown. [bare-number]\n    and 1 more like it\n")
	assert.Contains(t, got.out, "\nold/bad.txt:1:6: error: \u201cQ\u201d is not a note, and not anything else that can be played. [unknown-word]\n    and 1 more\n")
	for name, was := range pages {
		assert.Equal(t, was, text(t, name), "nothing is changed")
	}
	var s survey
	require.NoError(t, json.Unmarshal([]byte(call(t, "", "survey", "old", "--json").out), &s))
	require.Len(t, s.Pages, 5)
	assert.Equal(t, "G", s.Pages[0].Harp)
	assert.False(t, s.Pages[2].Plays)
	assert.Len(t, s.Pages[1].Questions, 2)
	assert.NotEmpty(t, s.Codes)
}

// A page that is answered by a header stays answered, and only then may it be
// rewritten.
func TestSurveyOfAnAnsweredPage(t *testing.T) {
	folder(t, map[string]string{"old/carets.txt": "A tune\n4^ 4v 5^ 5v 6^ 6v\n6v 5v 4v 4^\n"})
	got := call(t, "", "survey", "old")
	assert.Contains(t, got.out, "1 page: 0 can be played, 1 with a question\nread as   marks 1\n")
	assert.Contains(t, got.out, "[unknown-marks]\n    answer: Write Blow: 4^ and Draw: 4v\n    answer: Write Blow: 4v and Draw: 4^\n\n")
	assert.Equal(t, 1, call(t, "", "rewrite", "old/carets.txt").code)
	require.Equal(t, 0, call(t, "", "check", "old/carets.txt", "--fix=all", "--in-place").code)
	got = call(t, "", "survey", "old")
	assert.Contains(t, got.out, "1 page: 1 can be played, 0 with a question\nread as   marks 1\n")
	assert.Contains(t, call(t, "", "rewrite", "old/carets.txt").out, "4 -4 5 -5 6 -6\n-6 -5 -4 4\n")
}
