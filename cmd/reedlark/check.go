package main

import (
	"cmp"
	"context"
	"fmt"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/tab/diag"
)

type checkCmd struct {
	Files   []string `arg:"" name:"file" help:"Pages of tab. A folder means every .txt and .tab file in it and below; - means standard input."`
	JSON    bool     `name:"json" help:"Print JSON: one line for each file, with its diagnostics."`
	Sarif   string   `placeholder:"OUT" help:"Also write SARIF 2.1.0, which code hosts read, to this file; - writes it to standard output and nothing else there."`
	Summary bool     `help:"Count the findings by code instead of listing them."`
	Fix     fixes    `help:"Make the edits that do not change the sound, or that make a page readable; --fix=all also makes the first edit of every other error and warning. The text goes where -o, --in-place or --diff say, as in rewrite."`
	editing
	Settings kong.Plugins `embed:""`

	counts codeCounts
}

// verdict is what check says of one file.
type verdict struct {
	File        string            `json:"file"`
	Diagnostics []diag.Diagnostic `json:"diagnostics"`
	Error       string            `json:"error,omitempty"` // why it could not be checked
	text        string
}

// run checks pages. Here the diagnostics are the result, so they go to standard
// output, as soon as they are known.
func (k *checkCmd) run(ctx context.Context, c *console) api.Failure {
	if err := cmp.Or(k.refuse(), batch.NotPages(k.Sarif), c.checkOpen(k.Sarif)); err != nil {
		return c.fail("", err)
	}
	if k.Fix != fixNone {
		return k.runFix(ctx, c)
	}
	k.counts = codeCounts{}
	pages, unread := batch.Find(k.Files)
	worst, sum, log := api.NoFailure, tally{}, newSarif()
	for _, u := range unread {
		worst = max(worst, c.fail(u.Name, u.Err))
		k.report(ctx, c, log, verdict{File: u.Name, Error: describe(u.Err)})
	}
	for _, p := range pages {
		if ctx.Err() != nil {
			return c.fail("", fmt.Errorf("interrupted"))
		}
		if c.stdout.err != nil {
			return api.OurFailure // nobody reads on
		}
		v, err := guarded(func() (verdict, error) { return c.check(ctx, p.Name) })
		if v.File == "" { // a bug
			v = verdict{File: shownName(p.Name), Error: describe(err)}
		}
		worst = max(worst, c.fail(v.File, err))
		k.report(ctx, c, log, v)
		sum.count(v, err)
	}
	if len(pages) > 1 {
		c.say("%s", sum)
	}
	if k.Sarif != "" {
		worst = max(worst, c.answer(ctx, k.Sarif, log.document(build())))
	}
	switch {
	case k.Summary && k.JSON:
		worst = max(worst, c.answer(ctx, batch.Dash, map[string][]codeCount{"codes": k.counts.sorted()}))
	case k.Summary:
		k.counts.write(c.stdout)
	}
	return worst
}

// refuse names options that do not go together.
func (k *checkCmd) refuse() error {
	writes := k.Out != "" || k.InPlace || k.Diff || k.Backup != ""
	switch {
	case k.Fix == fixNone && writes:
		return batch.Usagef("-o, --in-place, --backup and --diff go with --fix, which changes pages")
	case k.Fix != fixNone && (k.JSON || k.Sarif != "" || k.Summary):
		return batch.Usagef("--fix cannot be combined with --json, --sarif or --summary: check the pages again afterwards")
	case k.Sarif == batch.Dash && (k.JSON || k.Summary):
		return batch.Usagef("--sarif - and --json or --summary would both write to standard output")
	}
	return nil
}

// report passes on the findings about one file.
func (k *checkCmd) report(ctx context.Context, c *console, log *sarif, v verdict) {
	if k.Sarif != "" {
		log.add(v)
	}
	k.counts.add(v)
	switch {
	case k.Sarif == batch.Dash, k.Summary:
	case k.JSON:
		v.Diagnostics = append([]diag.Diagnostic{}, v.Diagnostics...)
		c.answer(ctx, batch.Dash, v)
	default:
		printDiagnostics(c.stdout, page{name: v.File, text: v.text}, v.Diagnostics)
	}
}

// check opens a page and lists everything there is to say about it.
func (c *console) check(ctx context.Context, name string) (verdict, error) {
	p, err := c.read(ctx, name)
	v := verdict{File: p.name, text: p.text}
	v.Diagnostics = refused(err) // for a byte that is no text
	if err == nil {
		v.Diagnostics, err = c.diagnose(ctx, p.text)
	}
	if err != nil && refused(err) == nil {
		v.Error = describe(err)
	}
	return v, err
}

func (c *console) diagnose(ctx context.Context, text string) ([]diag.Diagnostic, error) {
	req := c.request
	if err := req.Set("tab", text); err != nil {
		return nil, err
	}
	piece, err := c.door.Open(ctx, req)
	if err != nil {
		return refused(err), err
	}
	return piece.Advice(ctx)
}

// tally counts pages and findings.
type tally struct{ pages, refused, unread, errors, warnings, notes int }

func (t *tally) count(v verdict, err error) {
	t.pages++
	switch {
	case v.Error != "":
		t.unread++
	case err != nil:
		t.refused++
	}
	for _, d := range v.Diagnostics {
		switch d.Severity {
		case diag.Error:
			t.errors += d.Total()
		case diag.Warning:
			t.warnings += d.Total()
		case diag.Note:
			t.notes += d.Total()
		}
	}
}

// String is a line such as "12 pages checked: 1 refused, 1 error".
func (t tally) String() string {
	out := ""
	for _, part := range []struct {
		n    int
		word string
	}{
		{t.unread, "unreadable"},
		{t.refused, "refused"},
		{t.errors, plural(t.errors, "error")},
		{t.warnings, plural(t.warnings, "warning")},
		{t.notes, plural(t.notes, "note")},
	} {
		if part.n > 0 {
			out += fmt.Sprintf(", %d %s", part.n, part.word)
		}
	}
	return fmt.Sprintf("%d pages checked: %s", t.pages, cmp.Or(out, "  nothing to say")[2:])
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}
