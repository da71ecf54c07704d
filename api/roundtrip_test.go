package api_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
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

// sounding is what a page sounds: pitches with their beats, and where bars begin.
func sounding(t *testing.T, page string) (notes []string) {
	t.Helper()
	score, err := openPage(t, page).Score(context.Background())
	require.NoError(t, err)
	for _, n := range score.Notes {
		if n.Role == "melody" || n.Role == "filler" {
			var midi []int
			for _, v := range n.Voices {
				midi = append(midi, v.Midi)
			}
			slices.Sort(midi)
			notes = append(notes, fmt.Sprintf("%v at %.4f for %.4f", midi, n.StartBeat, n.Beats))
		}
	}
	return notes
}

// A page that goes through MIDI comes back with the same pitches, beats and bars.
// Holes passed in slides are notes in MIDI, and grace notes have a length there, so
// the two pages with either do not.
func TestPagesThroughMIDI(t *testing.T) {
	for name, page := range goodPages(t) {
		if name == "heron-slides.txt" || name == "towpath-stroll.txt" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			p := openPage(t, page)
			score, err := p.Score(context.Background())
			require.NoError(t, err)
			file, err := p.MIDI(context.Background())
			require.NoError(t, err)
			s := api.NewSearch(1)
			require.NoError(t, s.Set("octave", "0"))
			require.NoError(t, s.Set("harp", score.Harp.Key))
			require.NoError(t, s.Set("layout", score.Harp.Layout))
			back, err := api.Arrange(context.Background(), s, api.ScoreFile{Data: file, Media: api.MediaMIDI})
			require.NoError(t, err)
			assert.Equal(t, sounding(t, page), sounding(t, back.Tab))
		})
	}
}
