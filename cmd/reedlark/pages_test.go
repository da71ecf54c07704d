package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
)

const tabs = root + "/testdata/tabs"

func allPages(t *testing.T) []string {
	t.Helper()
	found, err := filepath.Glob(tabs + "/*.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(found), 18)
	return found
}

func isMistaken(page string) bool { return strings.HasPrefix(filepath.Base(page), "mistakes-") }

// Every page plays, but for those with mistakes left in, and those are refused.
// What is said of each is a golden.
func TestPages(t *testing.T) {
	list, err := os.ReadFile(tabs + "/README.md")
	require.NoError(t, err)
	for _, page := range allPages(t) {
		name := filepath.Base(page)
		t.Run(name, func(t *testing.T) {
			assert.Contains(t, string(list), "| `"+name+"` |", "the list of pages has it")
			got := call(t, "", "check", page)
			assert.Equal(t, isMistaken(page), got.code == 1, got.out)
			golden(t, "pages/"+name, strings.ReplaceAll(got.out, page, name))
		})
	}
}

// The twelve keys, as the trade names them.
var twelve = strings.Fields("G Ab A Bb B C Db D Eb E F F#")

func TestPagesRenderOnTwelveHarps(t *testing.T) {
	for _, page := range allPages(t) {
		if isMistaken(page) {
			continue
		}
		t.Run(filepath.Base(page), func(t *testing.T) {
			for _, key := range twelve {
				got := call(t, "", "render", page, "-o", "-", "--rate=22050", "--harp", key)
				require.Equal(t, 0, got.code, got.err)
				require.Greater(t, len(got.out), 22050)
			}
		})
	}
}

// tunes are the first notes of the tunes, by name, from memory of the songs and
// not worked out from their tab: on a C harp, in the octave of the page.
var tunes = []struct{ page, notes string }{
	{"twinkle.txt", "C5 C5 G5 G5 A5 A5 G5 F5 F5 E5 E5 D5 D5 C5 G5 G5 F5 F5 E5 E5 D5"},
	{"frere-jacques.txt", "C5 D5 E5 C5 C5 D5 E5 C5 E5 F5 G5 E5 F5 G5 G5 A5 G5 F5 E5 C5 G5 A5 G5 F5 E5 C5 C5 G4 C5 C5 G4 C5"},
	{"skip-to-my-lou.txt", "E5 C5 E5 E5 E5 G5 D5 B4 D5 D5 D5 F5 E5 C5 E5 E5 E5 G5 D5 E5 F5 E5 D5 C5 C5"},
	{"michael-row.txt", "C5 E5 G5 E5 G5 A5 G5 E5 G5 A5 G5 E5 G5 G5 E5 F5 E5 D5 C5 D5 E5 D5 C5"},
	{"oh-susanna.txt", "C5 D5 E5 G5 G5 A5 G5 E5 C5 D5 E5 E5 D5 C5 D5 C5 D5 E5 G5 G5 A5 G5 E5 C5 D5 E5 E5 D5 D5 C5 F5 F5 A5 A5 A5 G5 G5 E5 C5 D5"},
	{"london-bridge.txt", "G5 A5 G5 F5 E5 F5 G5 D5 E5 F5 E5 F5 G5 G5 A5 G5 F5 E5 F5 G5 D5 G5 E5 C5"},
	{"hot-cross-buns.txt", "E5 D5 C5 E5 D5 C5 C5 C5 C5 C5 D5 D5 D5 D5 E5 D5 C5"},
	{"au-clair-de-la-lune.txt", "C5 C5 C5 D5 E5 D5 C5 E5 D5 D5 C5 C5 C5 C5 D5 E5 D5 C5 E5 D5 D5 C5 D5 D5 D5 D5 A4 A4 D5 C5 B4 A4 G4"},
	{"yankee-doodle.txt", "C5 C5 D5 E5 C5 E5 D5 G4 C5 C5 D5 E5 C5 B4 C5 C5 D5 E5 F5 E5 D5 C5 B4 G4 A4 B4 C5 C5"},
	{"row-your-boat.txt", "C5 C5 C5 D5 E5 E5 D5 E5 F5 G5 C6 C6 C6 G5 G5 G5 E5 E5 E5 C5 C5 C5 G5 F5 E5 D5 C5"},
	{"silent-night.txt", "G5 A5 G5 E5 G5 A5 G5 E5 D6 D6 B5 C6 C6 G5 A5 A5 C6 B5 A5 G5 A5 G5 E5"},
	{"amazing-grace.txt", "G5 C6 E6 C6 E6 D6 C6 A5 G5 G5 C6 E6 C6 E6 D6 G6"},
	{"scarborough-fair.txt", "D5 D5 A5 A5 E5 F5 E5 D5 A5 C6 D6 C6 A5 B5 G5 A5 D6 D6 D6 C6 A5 A5 G5 F5 E5 C5 D5 A5 G5 F5 E5 D5 C5 D5"},
	{"drunken-sailor.txt", "A5 A5 A5 A5 A5 A5 A5 D5 F5 A5 G5 G5 G5 G5 G5 G5 G5 C5 E5 G5 A5 A5 A5 A5 A5 A5 A5 B5 C6 D6 C6 A5 G5 E5 D5 D5"},
	{"auld-lang-syne.txt", "G5 C6 C6 C6 E6 D6 C6 D6 E6 C6 C6 E6 G6 A6 A6 G6 E6 E6 C6 D6 C6 D6 E6 C6 A5 A5 G5 C6"},
	{"good-king-wenceslas.txt", "C6 C6 C6 D6 C6 C6 G5 A5 G5 A5 B5 C6 C6 C6 C6 C6 D6 C6 C6 G5 A5 G5 A5 B5 C6 C6 G6 F6 E6 D6 E6 D6 C6"},
	{"ode-to-joy.txt", "E5 E5 F5 G5 G5 F5 E5 D5 C5 C5 D5 E5 E5 D5 D5 E5 E5 F5 G5 G5 F5 E5 D5 C5 C5 D5 E5 D5 C5 C5 D5 D5 E5 C5"},
}

// score is what a page is played as on a C harp.
func score(t *testing.T, page string) openapi.Score {
	t.Helper()
	got := call(t, "", "score", filepath.Join(tabs, page), "--harp", "C")
	require.Equal(t, 0, got.code, got.err)
	var s openapi.Score
	require.NoError(t, json.Unmarshal([]byte(got.out), &s))
	return s
}

func TestTunes(t *testing.T) {
	for _, tune := range tunes {
		t.Run(tune.page, func(t *testing.T) {
			want := strings.Fields(tune.notes)
			var got []string
			for _, n := range score(t, tune.page).Notes {
				got = append(got, n.Voices[0].Name)
			}
			require.GreaterOrEqual(t, len(got), len(want))
			assert.Equal(t, want, got[:len(want)])
		})
	}
}

// How long the pages are, worked out by hand from the songs: bars of the song
// times the beats of its metre, repeats written out.
func TestLengths(t *testing.T) {
	beats := map[string]float64{
		"twinkle.txt": 12 * 4, "frere-jacques.txt": 8 * 4, "skip-to-my-lou.txt": 8 * 2, "michael-row.txt": 8 * 4,
		"oh-susanna.txt": 16*4 + 2, "london-bridge.txt": 8 * 4, "hot-cross-buns.txt": 4 * 4,
		"au-clair-de-la-lune.txt": 16 * 4, "yankee-doodle.txt": 8 * 2, "row-your-boat.txt": 8 * 6,
		"silent-night.txt": 12 * 6, "amazing-grace.txt": 16 * 3, "drunken-sailor.txt": 8 * 2,
		"auld-lang-syne.txt": 16 * 4, "ode-to-joy.txt": 16 * 4, "low-water-blues.txt": 12 * 4,
	}
	for page, want := range beats {
		assert.InDelta(t, want, score(t, page).Beats, 1e-9, page)
	}
}

// The study names every semitone of a C harp from C4 to C7, once each and in
// order, on its first two rows (MIDI 60 to 96).
func TestEverySemitone(t *testing.T) {
	for i, n := range score(t, "kingfisher-overs.txt").Notes[:37] {
		assert.Equal(t, 60+i, n.Voices[0].Midi, n.Text)
	}
}
