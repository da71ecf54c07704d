package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"
	"unicode"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/openapi"
)

type harpCmd struct {
	Key      []string     `arg:"" help:"The harp, as C, Bb, F# or low F."`
	JSON     bool         `name:"json" help:"Print JSON, with MIDI numbers, cents and hertz."`
	Settings kong.Plugins `embed:""`
}

func (h *harpCmd) run(ctx context.Context, c *console) api.Failure {
	req, err := c.request.HarpNamed(strings.Join(h.Key, " "))
	if err != nil {
		return c.fail("", err)
	}
	chart, err := api.Chart(req)
	if err != nil {
		return c.fail("", err)
	}
	if h.JSON {
		return c.answer(ctx, batch.Dash, chart)
	}
	draw(c.stdout, chart)
	return api.NoFailure
}

// draw shows a chart as a table: the holes across, and down from the overblows
// through the blown and drawn reeds, each with its bends, to the overdraws. What
// few players play stands in round brackets.
func draw(w io.Writer, chart openapi.Chart) {
	printf(w, "Harp in %s, %s, tuned %s, A4 = %g Hz\n\n", chart.Key, chart.Layout, chart.Tuning, chart.A4)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, row := range rows(chart) {
		printf(t, "%s\n", strings.TrimRight(strings.Join(row, "\t"), "\t"))
	}
	_ = t.Flush() // w remembers
	var songs []string
	for _, p := range chart.Positions {
		songs = append(songs, fmt.Sprintf("%d %s", p.Position, p.Key))
	}
	printf(w, "\nA song's key by position: %s.\nNotes in brackets are played by few.\n", strings.Join(songs, ", "))
}

// rows is the table of a chart: the holes first, then one row for each way to
// play that some hole of the harp has.
func rows(chart openapi.Chart) [][]string {
	numbers, found := []string{"hole"}, map[string][]string{}
	for i, h := range chart.Holes {
		numbers = append(numbers, strconv.Itoa(h.Hole))
		for _, p := range pitches(h) {
			way := strings.Map(noDigit, p.Tab)
			if found[way] == nil {
				found[way] = make([]string, len(chart.Holes))
			}
			found[way][i] = shown(p)
		}
	}
	out := [][]string{numbers}
	for _, way := range ways() {
		if row := found[way.marks]; row != nil {
			out = append(out, append([]string{way.name}, row...))
		}
	}
	return out
}

func pitches(h openapi.Hole) []openapi.Pitch {
	out := append([]openapi.Pitch{h.Blow, h.Draw}, h.Bends...)
	if h.Over != nil {
		out = append(out, openapi.Pitch(*h.Over))
	}
	return out
}

func noDigit(r rune) rune {
	if unicode.IsDigit(r) {
		return -1
	}
	return r
}

func shown(p openapi.Pitch) string {
	if p.Rare {
		return "(" + p.Name + ")"
	}
	return p.Name
}

// way is a way to play a hole: what its tab has beside the number, and a name.
type way struct{ marks, name string }

// ways is every way to play a hole, from the top of the table down.
func ways() []way {
	const deepest = 12 // semitones, as deep as a tab can say
	out := []way{{"*", "overblow *"}}
	for n := deepest; n > 0; n-- {
		out = append(out, way{strings.Repeat("/", n), "bend " + strings.Repeat("/", n)})
	}
	out = append(out, way{"", "blow"}, way{"-", "draw -"})
	for n := 1; n <= deepest; n++ {
		out = append(out, way{"-" + strings.Repeat("/", n), "bend -" + strings.Repeat("/", n)})
	}
	return append(out, way{"-*", "overdraw -*"})
}
