package perform_test

import (
	"cmp"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/perform"
	"reedlark/tab/score"
)

var update = flag.Bool("update", false, "write the goldens anew")

// goldenSettings are those of the pages that are not played as they stand.
var goldenSettings = map[string]perform.Settings{
	"skip":    {Brackets: perform.Skip},
	"part":    {From: &perform.Bound{Line: 4}, To: &perform.Bound{Line: 5}, Repeat: 2},
	"counted": {CountIn: 1, Click: true},
	"direct":  {Bends: perform.Direct},
	"backed":  {Backing: perform.Chords, Swing: 0.66, Repeat: 2},
	"shaped":  {Phrasing: perform.Played},
}

// TestGolden compares how each page of testdata is played with how it was
// played when a person last read the score beside it.
func TestGolden(t *testing.T) {
	pages, err := filepath.Glob("testdata/*.tab")
	require.NoError(t, err)
	require.NotEmpty(t, pages)
	for _, page := range pages {
		name := strings.TrimSuffix(filepath.Base(page), ".tab")
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(page)
			require.NoError(t, err)
			doc := tab.Parse(string(text), tab.Options{})
			set := goldenSettings[name]
			set.Phrasing = cmp.Or(set.Phrasing, perform.Plain)
			sc, problems := perform.Perform(doc, set)
			require.NotNil(t, sc)
			compare(t, strings.TrimSuffix(page, ".tab")+".golden", dump(doc, sc, problems))
		})
	}
}

func compare(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "write a missing golden with -update, and read it")
	assert.Equal(t, string(want), got)
}

// dump writes a score for a person to read: times in seconds, beats as
// fractions, hertz, milliseconds of glide and gap, decibels.
func dump(doc *tab.Document, sc *score.Score, problems diag.List) string {
	var out strings.Builder
	fmt.Fprintf(&out, "%q on %v, tempo %g, metre %q, %s beats, %.3f s\n", sc.Title, sc.Harp, sc.Tempo, sc.Metre, sc.Beats.String(), sc.Seconds)
	for _, n := range sc.Notes {
		fmt.Fprintf(&out, "%7.3f %.3f  %d:%d %s\tbeat %s for %s %s %s", n.Start, n.Seconds, n.Line, n.Column, n.Text, n.StartBeat.String(), n.Beats.String(), n.Role, onsets[n.Onset])
		fmt.Fprintf(&out, " gap %.0f gain %g accent %.3g", 1000*n.Gap, n.Gain, n.Accent)
		if n.Release > 0 {
			fmt.Fprintf(&out, " release %.0f", 1000*n.Release)
		}
		for _, v := range n.Voices {
			fmt.Fprintf(&out, "; %s %d %s %s %.1f", v.Breath, v.Hole, v.Technique, v.Name, v.Hz)
			if v.GlideSeconds > 0 {
				fmt.Fprintf(&out, " from %.1f in %.0f", v.FromHz, 1000*v.GlideSeconds)
			}
		}
		out.WriteString("\n")
	}
	for _, c := range sc.Clicks {
		fmt.Fprintf(&out, "%7.3f click %v\n", c.Start, c.Accent)
	}
	for _, c := range sc.Chords {
		fmt.Fprintf(&out, "%7.3f %.3f  %s\tbeat %s\n", c.Start, c.Seconds, c.Symbol, c.StartBeat.String())
	}
	for _, b := range sc.Backing {
		fmt.Fprintf(&out, "%7.3f %.3f  %s %s\tbeat %s for %s accent %g\n", b.Start, b.Seconds, b.Player, b.Name, b.StartBeat.String(), b.Beats.String(), b.Accent)
	}
	for _, d := range doc.Source.PlaceAll(append(doc.Problems, problems...)) {
		fmt.Fprintf(&out, "%d:%d-%d %s %s: %s\n", d.Line, d.Column, d.Column+d.Length, d.Severity, d.Code, d.Message)
	}
	return out.String()
}

// onsets are their names, in the order of the constants.
var onsets = [...]string{"from silence", "new breath", "tongued", "legato", "passed", "tied"}
