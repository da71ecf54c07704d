package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"syscall"

	"reedlark/api"
	"reedlark/cmd/reedlark/course"
	"reedlark/openapi"
)

// batch makes many sounds, as many at once as there are processors. What one
// page brings up does not stop the others; it is told at the end.
type batch struct {
	*console
	ledger  *course.Ledger // nil where nothing is remembered
	picture string
	board   *board
	lines   bool                // JSON on standard output
	came    map[string]*remarks // up on each page
	sum     summary
}

// remarks is what came up in the versions of one page, each once.
type remarks struct {
	diagnostics []openapi.Diagnostic
	said        []string
}

func (r *remarks) add(o outcome) {
	for _, d := range o.diagnostics {
		if !slices.Contains(r.diagnostics, d) {
			r.diagnostics = append(r.diagnostics, d)
		}
	}
	if o.said != "" && !slices.Contains(r.said, o.said) {
		r.said = append(r.said, o.said)
	}
}

// renderAll makes the sounds of a plan.
func (c *console) renderAll(ctx context.Context, p *plan, r *renderCmd) api.Blame {
	b := &batch{console: c, picture: r.Picture, lines: r.JSON, came: map[string]*remarks{}}
	if p.folder != "" && len(p.jobs) > 0 {
		var err error
		if b.ledger, err = course.OpenLedger(p.folder); err != nil {
			return c.fail("", fmt.Errorf("%s, which remembers what was made: %w", course.LedgerName, plain(err)))
		}
		defer func() { _ = b.ledger.Close() }() // every line was written as it came
		b.sum.goesOn = true
	}
	screen := c.stderr
	if r.JSON && terminal(c.stdout.Writer) {
		screen = io.Discard // lines and a bar on one terminal would spoil each other
	}
	b.board = newBoard(screen, len(p.jobs))
	b.sum.Unreadable = len(p.unread)
	for _, t := range p.unread {
		if b.lines {
			b.line(soundLine{Page: t.name, Became: "unreadable", Diagnostics: []openapi.Diagnostic{}, Error: words(t.err)})
		}
	}
	worst := b.work(ctx, p.jobs)
	b.board.wipe()
	b.tellAll(p.jobs)
	if ctx.Err() == nil {
		b.say("%s", b.sum)
		return worst
	}
	b.say("interrupted: %s", b.sum)
	return api.Ours
}

// work does the jobs and takes in what becomes of each. After a failure that
// the next job would meet too, no more are begun.
func (b *batch) work(ctx context.Context, jobs []job) api.Blame {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	worst := api.Nobody
	b.sum.Left = len(jobs)
	for o := range b.outcomes(ctx, jobs) {
		if ctx.Err() != nil && o.blame != api.Nobody {
			continue // it was stopped: the next run makes it
		}
		worst = max(worst, o.blame)
		b.take(o)
		if hopeless(o.err) || b.stdout.err != nil {
			stop()
		}
	}
	return worst
}

// hopeless says that a failure is one of the whole disk.
func hopeless(err error) bool {
	return slices.ContainsFunc([]error{syscall.ENOSPC, syscall.EDQUOT, syscall.EROFS, syscall.EIO},
		func(e error) bool { return errors.Is(err, e) })
}

// outcomes is what becomes of each job, as they are done.
func (b *batch) outcomes(ctx context.Context, jobs []job) <-chan outcome {
	todo, done := make(chan job), make(chan outcome)
	go func() {
		defer close(todo)
		for _, j := range jobs {
			select {
			case todo <- j:
			case <-ctx.Done():
				return
			}
		}
	}()
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for j := range todo {
				done <- b.do(ctx, j)
			}
		})
	}
	go func() {
		workers.Wait()
		close(done)
	}()
	return done
}

// do does one job with a console of its own, so that what went wrong is
// told at the end.
func (b *batch) do(ctx context.Context, j job) (o outcome) {
	var said bytes.Buffer
	quiet := *b.console
	quiet.stderr = &said
	defer func() {
		if fault := recover(); fault != nil {
			o = outcome{job: j, err: fmt.Errorf("a mistake in reedlark itself, please report it: %v\n%s", fault, debug.Stack())}
			o.blame = quiet.fail(j.page.name, o.err)
		}
		o.said = said.String()
	}()
	req, err := quiet.asked(ctx, j)
	if err != nil {
		return outcome{job: j, err: err, blame: quiet.fail(j.page.name, err), diagnostics: refused(err)}
	}
	asked := course.Fingerprint(req)
	if b.ledger != nil && b.picture == "" && b.ledger.Holds(j.out, asked) {
		return outcome{job: j, unchanged: true}
	}
	o = quiet.render(ctx, j, req, b.picture, func([]openapi.Diagnostic) {})
	if b.ledger != nil && o.err == nil {
		o.err = b.ledger.Add(j.out, asked)
		o.blame = quiet.fail(course.LedgerName, o.err)
	}
	return o
}

// take counts an outcome and shows it.
func (b *batch) take(o outcome) {
	b.sum.count(o)
	if len(o.diagnostics) > 0 || o.said != "" {
		r := b.came[o.job.page.name]
		if r == nil {
			r = &remarks{}
			b.came[o.job.page.name] = r
		}
		r.add(o)
	}
	b.board.step(!o.unchanged)
	switch {
	case b.lines:
		b.line(o.line())
	case o.blame == api.Nobody && !o.unchanged && !b.board.shown():
		b.say("%s", o.wrote())
	}
}

// tellAll tells what came up, page by page in their order, and the sum.
func (b *batch) tellAll(jobs []job) {
	for _, j := range jobs {
		r := b.came[j.page.name]
		if r == nil {
			continue
		}
		tell(b.stderr, j.page, r.diagnostics)
		printf(b.stderr, "%s", strings.Join(r.said, ""))
		delete(b.came, j.page.name)
	}
	if b.lines {
		b.line(struct {
			Summary summary `json:"summary"`
		}{b.sum})
	}
}

func (b *batch) line(answer any) { b.answer(dash, answer) }
