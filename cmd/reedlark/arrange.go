package main

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"unicode"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/openapi"
)

type arrangeCmd struct {
	File     string       `arg:"" name:"tune" help:"A score: MusicXML, ABC or MIDI; - for standard input."`
	Out      string       `short:"o" placeholder:"OUT" help:"The page to write, - for standard output, the default. For a book of tunes, the folder for all its pages."`
	JSON     bool         `name:"json" help:"Answer in JSON, on standard output."`
	Settings kong.Plugins `embed:""`
}

func (a *arrangeCmd) run(ctx context.Context, c *console) api.Failure {
	s := api.NewSearch(api.ArrangeLimit)
	if err := c.fillSearch(&s, api.ArrangeParameters()); err != nil {
		return c.fail("", err)
	}
	if err := c.checkOpen(a.Out); err != nil {
		return c.fail("", err)
	}
	data, err := c.readBytes(ctx, a.File, api.MaxScore+1)
	if err != nil {
		return c.fail(shownName(a.File), err)
	}
	file := api.ScoreFile{Data: data}
	tunes, err := file.Tunes()
	if err != nil {
		return a.refuse(c, err)
	}
	if len(tunes) > 1 && s.Tune == 0 {
		return a.book(ctx, c, s, file, tunes)
	}
	return a.one(ctx, c, s, file, cmp.Or(a.Out, batch.Dash))
}

// refuse reports a score that cannot be used.
func (a *arrangeCmd) refuse(c *console, err error) api.Failure {
	failure := c.fail(shownName(a.File), err)
	if failure == api.TabFailure { // which says nothing of itself
		c.say("%s: %v", shownName(a.File), err)
	}
	return failure
}

// book writes every tune of a book into a folder. A tune that cannot be used does
// not stop the others.
func (a *arrangeCmd) book(ctx context.Context, c *console, s api.Search, file api.ScoreFile, tunes []openapi.BookTune) api.Failure {
	if a.Out == "" || a.Out == batch.Dash || a.JSON {
		return c.fail("", batch.Usagef("this is a book of %d tunes; name a folder for their pages with -o, or one of them with --tune", len(tunes)))
	}
	if err := os.MkdirAll(a.Out, 0o755); err != nil {
		return c.fail(a.Out, batch.Plain(err))
	}
	worst := api.NoFailure
	for _, t := range tunes {
		if ctx.Err() != nil {
			return c.fail("", ctx.Err())
		}
		s.Tune = t.Number
		worst = max(worst, a.one(ctx, c, s, file, filepath.Join(a.Out, pageName(t))))
	}
	return worst
}

// longestName is the most characters of a title in a file's name.
const longestName = 60

// pageName is the file of a tune: its number and its title, in letters, digits
// and hyphens.
func pageName(t openapi.BookTune) string {
	words := strings.FieldsFunc(t.Title, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	name := []rune(strings.ToLower(strings.Join(words, "-")))
	return strings.TrimSuffix(fmt.Sprintf("%d-%s", t.Number, string(name[:min(len(name), longestName)])), "-") + ".txt"
}

// one writes one page.
func (a *arrangeCmd) one(ctx context.Context, c *console, s api.Search, file api.ScoreFile, out string) api.Failure {
	arranged, err := api.Arrange(ctx, s, file)
	if err != nil {
		return a.refuse(c, err)
	}
	failure := api.NoFailure
	if !a.JSON || out != batch.Dash {
		failure = c.put(ctx, out, []byte(arranged.Tab))
	}
	if a.JSON {
		failure = max(failure, c.answer(ctx, batch.Dash, arranged))
	}
	c.report(arranged)
	if len(arranged.Lost) > 0 {
		failure = max(failure, api.TabFailure)
	}
	return failure
}

// report shows the ways there are, why the first was taken, and what is lost.
func (c *console) report(a *openapi.Arrangement) {
	t := tabwriter.NewWriter(c.stderr, 0, 0, 2, ' ', 0)
	printf(t, "harp\tposition\toctave\tbends\tovers\tmissing\n")
	for _, w := range a.Ways {
		printf(t, "%s\t%d\t%s\t%d\t%d\t%s\n", w.Harp, w.Position, octave(w.Octave), w.Bends, w.Overs, cmp.Or(strings.Join(w.Missing, ", "), "nothing"))
	}
	_ = t.Flush() // a terminal that is gone has no use for it
	c.say("%s", why(a))
	for _, d := range a.Diagnostics {
		c.say("line %d: %s", d.Line, d.Message)
	}
}

// why says why the first way was taken.
func why(a *openapi.Arrangement) string {
	if len(a.Ways) < 2 {
		return fmt.Sprintf("the page is for a harp in %s", a.Harp)
	}
	first, second := a.Ways[0], a.Ways[1]
	reason := "its moves and its position are the easiest"
	switch {
	case len(first.Missing) < len(second.Missing):
		reason = "it lacks the fewest notes"
	case first.Overs < second.Overs:
		reason = "it needs the fewest overs"
	case first.Bends < second.Bends:
		reason = "it needs the fewest bends"
	case first.Semitones < second.Semitones:
		reason = "its bends are the shallowest"
	case first.Octave == 0 && second.Octave != 0:
		reason = "it plays the tune where it sounds"
	}
	return fmt.Sprintf("the page is for a harp in %s: %s", a.Harp, reason)
}
