package api_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/tab"
)

// playedOf is what a page plays: every note as it is spelled in signs, with its beat
// and its length, and where the bars begin.
func playedOf(t require.TestingT, page string) (notes []string, bars string, chords []string) {
	doc := tab.Parse(page, tab.Options{})
	piece := doc.Unfold()
	for _, e := range piece.Events {
		if e.Note != nil {
			notes = append(notes, fmt.Sprintf("%s at %s for %s %s", tab.Spell(e.Note, tab.Signs), e.Start, e.Beats, e.Role))
		}
	}
	for _, c := range piece.Chords {
		chords = append(chords, fmt.Sprintf("%s at %s", c.Chord.Symbol, c.At))
	}
	return notes, fmt.Sprint(piece.Bars), chords
}

// openPage opens a page.
func openPage(t *testing.T, page string) *api.Piece {
	t.Helper()
	req := api.Defaults()
	require.NoError(t, req.Set("tab", page))
	p, err := api.NewDoor().Open(context.Background(), req)
	require.NoError(t, err)
	return p
}

// goodPages are those of testdata that play.
func goodPages(t *testing.T) map[string]string {
	t.Helper()
	files, err := filepath.Glob("../testdata/tabs/*.txt")
	require.NoError(t, err)
	out := map[string]string{}
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		if name := filepath.Base(f); !strings.HasPrefix(name, "mistakes") {
			out[name] = string(text)
		}
	}
	require.NotEmpty(t, out)
	return out
}

// A page that goes through MusicXML comes back: the same notes with their signs,
// at the same beats, and the same chords.
func TestPagesThroughMusicXML(t *testing.T) {
	for name, page := range goodPages(t) {
		t.Run(name, func(t *testing.T) {
			p := openPage(t, page)
			sheet, err := p.MusicXML(context.Background(), false)
			require.NoError(t, err)
			back, err := api.Arrange(context.Background(), api.NewSearch(1), api.ScoreFile{Data: sheet, Media: api.MediaMusicXML})
			require.NoError(t, err)
			notes, bars, chords := playedOf(t, page)
			backNotes, backBars, backChords := playedOf(t, back.Tab)
			assert.Equal(t, notes, backNotes)
			assert.Equal(t, bars, backBars)
			assert.Equal(t, chords, backChords)
		})
	}
}
