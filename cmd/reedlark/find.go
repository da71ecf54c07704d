package main

import (
	"context"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/openapi"
)

type findCmd struct {
	Melody   []string     `arg:"" help:"Notes with their octaves and lengths in beats, as \"C4:2 D4 r:1/2 | F#4\". One without an octave is the nearest to the one before, one without a length lasts a beat."`
	JSON     bool         `name:"json" help:"Answer in JSON."`
	Settings kong.Plugins `embed:""`
}

func (f *findCmd) run(ctx context.Context, c *console) api.Failure {
	s := api.NewSearch(api.FindLimit)
	s.Melody = strings.Join(f.Melody, " ")
	if err := c.fillSearch(&s, api.FindParameters()); err != nil {
		return c.fail("", err)
	}
	found, err := api.Find(ctx, s)
	if err != nil {
		return c.fail("", err)
	}
	if f.JSON {
		return c.answer(ctx, batch.Dash, found)
	}
	list(c.stdout, found)
	return api.NoFailure
}

// list shows the ways to play a melody as a table.
func list(w io.Writer, found openapi.Finding) {
	if len(found.Ways) == 0 {
		printf(w, "None of the harps has all these notes.\n")
		listNearest(w, found.Nearest)
		return
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	printf(t, "harp\tposition\tbends\tovers\toctave\ttab\n")
	for _, way := range found.Ways {
		printf(t, "%s\t%d\t%d\t%d\t%s\t%s\n", way.Harp, way.Position, way.Bends, way.Overs, octave(way.Octave), inTable(way.Tab))
	}
	_ = t.Flush() // w remembers
	if len(found.Nowhere) > 0 {
		printf(w, "Harps that lack a note: %s.\n", strings.Join(found.Nowhere, ", "))
	}
	printf(w, "Positions are for a song in %s.\n", found.Key)
}

// inTable puts the further rows of a tab under the first.
func inTable(rows string) string { return strings.ReplaceAll(rows, "\n", "\n\t\t\t\t\t") }

func listNearest(w io.Writer, nearest []openapi.Near) {
	for _, n := range nearest {
		printf(w, "The harp in %s (%s) lacks %s.\n", n.Harp, octave(n.Octave), strings.Join(n.Missing, ", "))
	}
}

// octave says how far from where it sounds a melody is played.
func octave(n int) string {
	if n == 0 {
		return "as written"
	}
	return fmt.Sprintf("%+d", n)
}
