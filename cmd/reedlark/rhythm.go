package main

import (
	"context"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
)

type rhythmCmd struct {
	Page     string       `arg:"" help:"A page of tab, - for standard input."`
	Taps     string       `required:"" placeholder:"FILE" help:"When each note was tapped: a JSON list such as [{\"note\":0,\"at\":1.25}], a JSON request for /v1/rhythm, or a MIDI file of the line as played."`
	Out      string       `short:"o" default:"-" placeholder:"OUT" help:"The page to write, - for standard output."`
	Settings kong.Plugins `embed:""`
}

// run writes the rhythm of taps into a page.
func (r *rhythmCmd) run(ctx context.Context, c *console) api.Failure {
	if batch.SameFile(r.Page, r.Out) || batch.SameFile(r.Taps, r.Out) {
		return c.fail("", batch.Usagef("the output would overwrite %s", r.Out))
	}
	if err := c.checkOpen(r.Out); err != nil {
		return c.fail("", err)
	}
	p, err := c.read(ctx, r.Page)
	if err == nil {
		err = c.request.Set("tab", p.text)
	}
	if err != nil {
		printDiagnostics(c.stderr, p, refused(err))
		return c.fail(p.name, err)
	}
	taps, err := c.readBytes(ctx, r.Taps, api.MaxTapsFile+1)
	if err != nil {
		return c.fail(shownName(r.Taps), err)
	}
	return r.write(ctx, c, p, taps)
}

func (r *rhythmCmd) write(ctx context.Context, c *console, p page, taps []byte) api.Failure {
	q, err := c.door.RhythmFromFile(ctx, c.request, c.given, taps)
	if err != nil {
		printDiagnostics(c.stderr, p, refused(err))
		return c.fail(shownName(r.Taps), err)
	}
	answer, err := c.door.Rhythm(ctx, q)
	if err != nil {
		printDiagnostics(c.stderr, p, refused(err))
		return c.fail(shownName(r.Taps), err)
	}
	written := page{name: p.name, text: answer.Tab}
	if r.Out != batch.Dash {
		written.name = r.Out
	}
	printDiagnostics(c.stderr, written, answer.Diagnostics)
	file, err := p.encoding.Encode(answer.Tab)
	if err != nil {
		file = []byte(answer.Tab)
		c.say("%s: written as UTF-8, because %s", written.name, err)
	}
	return c.put(ctx, r.Out, file)
}
