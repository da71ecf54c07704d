package api

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sung are the words of a page with the notes of their line, in order.
func sung(t *testing.T, page string) (out []string) {
	t.Helper()
	req := Defaults()
	req.Tab = page
	p, err := Open(t.Context(), req)
	require.NoError(t, err)
	words := p.lyrics()
	for _, n := range p.score.Notes {
		out = append(out, words[place{n.Line, n.Column}])
	}
	return out
}

func TestWordsFindTheirNotes(t *testing.T) {
	cases := []struct {
		name, page string
		want       []string
	}{
		{"one each", "4 -4 5\nreeds in wind\n", []string{"reeds", "in", "wind"}},
		{"syllables", "4 -4 5\nRi-ver --- bed\n", []string{"Ri-", "ver", "bed"}},
		{"by where they stand", "4   -4   5   -5\nwide     and\n", []string{"wide", "", "and", ""}},
		{"a word that begins a little early", "4   -4\n   low\n", []string{"", "low"}},
		{"two on one note", "4        -4 5\nall the\n", []string{"all the", "", ""}},
		{"over a count row", "tab: 4 5\ncount: 1 2\nto sea\n", []string{"to", "sea"}},
		{"in every repeat", "4 5 x2\nto sea\n", []string{"to", "sea", "to", "sea"}},
		{"chords are not sung", "4 5\nC G7\n", []string{"", ""}},
		{"an empty line between", "4 5\n\nto sea\n", []string{"", ""}},
		{"the second verse", "4 5\nto sea\nto land\n", []string{"to", "sea"}},
		{"letters wider than a byte", "4  -4  5\né  ñ ü\n", []string{"é", "ñ", "ü"}},
	}
	for _, c := range cases {
		assert.Equal(t, c.want, sung(t, c.page), c.name)
	}
}
