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
)

type findCmd struct {
	Melody   []string     `arg:"" help:"Notes, as \"C4 D4 F#4\". One without an octave is the nearest to the one before."`
	Key      string       `placeholder:"KEY" help:"The key of the song, for the positions; else its last note is taken for the key note."`
	JSON     bool         `name:"json" help:"Say it in JSON."`
	Settings kong.Plugins `embed:""`
}

func (f *findCmd) run(ctx context.Context, c *console) api.Blame {
	found, err := api.Find(c.request, strings.Join(f.Melody, " "), f.Key)
	if err != nil {
		return c.fail("", err)
	}
	if f.JSON {
		return c.answer(ctx, batch.Dash, found)
	}
	list(c.stdout, found)
	return api.Nobody
}

// list shows the ways to play a melody as a table.
func list(w io.Writer, found api.Finding) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	if len(found.Ways) == 0 {
		printf(w, "No harp has all these notes, in any octave.\n")
		return
	}
	printf(t, "harp\tposition\tbends\tovers\toctave\ttab\n")
	for _, way := range found.Ways {
		printf(t, "%s\t%d\t%d\t%d\t%s\t%s\n", way.Harp, way.Position, way.Bends, way.Overs, octave(way.Octave), way.Tab)
	}
	_ = t.Flush() // w remembers
	if len(found.None) > 0 {
		printf(w, "Not to be had on a harp in %s.\n", strings.Join(found.None, ", "))
	}
	printf(w, "Positions are for a song in %s.\n", found.Key)
}

// octave says how far from where it is written a melody is played.
func octave(n int) string {
	if n == 0 {
		return "as written"
	}
	return fmt.Sprintf("%+d", n)
}
