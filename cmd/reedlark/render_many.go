package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/tab/diag"
)

// renderer makes many sounds, as many at once as there are processors. A page that
// fails does not stop the others; it is reported at the end.
type renderer struct {
	*console
	ledger   *batch.Ledger // nil where nothing is remembered
	picture  string
	progress *batch.Progress
	lines    bool                // JSON on standard output
	came     map[string]*remarks // up on each page
	sum      summary
}

// remarks are the findings about one page in all its versions, each once.
type remarks struct {
	diagnostics []diag.Diagnostic
	said        []string
}

func (r *remarks) add(o outcome) {
	for _, d := range o.diagnostics {
		if !slices.ContainsFunc(r.diagnostics, func(had diag.Diagnostic) bool { return had.Same(&d) }) {
			r.diagnostics = append(r.diagnostics, d)
		}
	}
	if o.said != "" && !slices.Contains(r.said, o.said) {
		r.said = append(r.said, o.said)
	}
}

// renderAll makes the sounds of a plan.
func (c *console) renderAll(ctx context.Context, p *batch.Plan, r *renderCmd) api.Failure {
	b := &renderer{console: c, picture: r.Picture, lines: r.JSON, came: map[string]*remarks{}}
	if p.Folder != "" && len(p.Jobs) > 0 {
		var err error
		if b.ledger, err = batch.OpenLedger(p.Folder); err != nil {
			return c.fail("", fmt.Errorf("%s, the record of what was made: %w", batch.LedgerName, batch.Plain(err)))
		}
		defer func() { _ = b.ledger.Close() }() // every line was written as it came
		b.sum.goesOn = true
	}
	screen := c.stderr
	if r.JSON && batch.Terminal(c.stdout.Writer) {
		screen = io.Discard // lines and a bar on one terminal would spoil each other
	}
	b.progress = batch.NewProgress(screen, len(p.Jobs))
	b.sum.Unreadable = len(p.Unread)
	for _, t := range p.Unread {
		if b.lines {
			b.line(ctx, soundLine{Page: t.Name, Became: "unreadable", Diagnostics: []diag.Diagnostic{}, Error: describe(t.Err)})
		}
	}
	worst := b.work(ctx, p.Jobs)
	b.progress.Wipe()
	b.report(ctx, p.Jobs)
	if ctx.Err() == nil {
		b.say("%s", b.sum)
		return worst
	}
	b.say("interrupted: %s", b.sum)
	return api.OurFailure
}

// work does the jobs and collects the outcomes. After a failure that the next job
// would meet too, no more are begun.
func (b *renderer) work(ctx context.Context, jobs []batch.Job) api.Failure {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	worst := api.NoFailure
	b.sum.Left = len(jobs)
	for o := range batch.Run(ctx, jobs, b.do) {
		if ctx.Err() != nil && o.failure != api.NoFailure {
			continue // it was stopped: the next run makes it
		}
		worst = max(worst, o.failure)
		b.take(ctx, o)
		if batch.Hopeless(o.err) || b.stdout.err != nil {
			stop()
		}
	}
	return worst
}

// do does one job with a console of its own, which keeps the messages for the end.
func (b *renderer) do(ctx context.Context, j batch.Job) (o outcome) {
	var said bytes.Buffer
	quiet := *b.console
	quiet.stderr = &said
	defer func() {
		if fault := recover(); fault != nil {
			o = outcome{job: j, err: errBug(fault)}
			o.failure = quiet.fail(j.Name, o.err)
		}
		o.said = said.String()
	}()
	req, err := quiet.asked(ctx, j)
	if err != nil {
		return outcome{job: j, err: err, failure: quiet.fail(j.Name, err), diagnostics: refused(err)}
	}
	asked := batch.Fingerprint(req)
	if b.ledger != nil && b.picture == "" && b.ledger.Holds(j.Out, asked) {
		return outcome{job: j, unchanged: true}
	}
	o = quiet.render(ctx, j, req, b.picture, func([]diag.Diagnostic) {})
	if b.ledger != nil && o.err == nil {
		o.err = b.ledger.Add(j.Out, asked)
		o.failure = quiet.fail(batch.LedgerName, o.err)
	}
	return o
}

// take counts an outcome and shows it.
func (b *renderer) take(ctx context.Context, o outcome) {
	b.sum.count(o)
	if len(o.diagnostics) > 0 || o.said != "" {
		r := b.came[o.job.Name]
		if r == nil {
			r = &remarks{}
			b.came[o.job.Name] = r
		}
		r.add(o)
	}
	b.progress.Step(!o.unchanged)
	switch {
	case b.lines:
		b.line(ctx, o.line())
	case o.failure == api.NoFailure && !o.unchanged && !b.progress.Shown():
		b.say("%s", o.wrote())
	}
}

// report prints the findings, page by page in their order, and the sum.
func (b *renderer) report(ctx context.Context, jobs []batch.Job) {
	for _, j := range jobs {
		r := b.came[j.Name]
		if r == nil {
			continue
		}
		printDiagnostics(b.stderr, page{name: j.Name, text: j.Text}, r.diagnostics)
		printf(b.stderr, "%s", strings.Join(r.said, ""))
		delete(b.came, j.Name)
	}
	if b.lines {
		b.line(ctx, struct {
			Summary summary `json:"summary"`
		}{b.sum})
	}
}

func (b *renderer) line(ctx context.Context, answer any) { b.answer(ctx, batch.Dash, answer) }
