package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/tab/diag"
)

type renderCmd struct {
	Files   []string `arg:"" name:"file" help:"Pages of tab. A folder means every .txt and .tab file in it and below; - means standard input."`
	Out     string   `short:"o" placeholder:"OUT" help:"The WAV or FLAC file to write, - for standard output. For several sounds, the folder to write them in: a tree of folders becomes the same tree, and what has not changed is not made again. The default is next to each page."`
	Harp    []string `group:"Settings" placeholder:"HARP" help:"The harp the tab is played on: ${harp}. Several are separated by commas; all is the twelve."`
	Tempo   []string `group:"Settings" placeholder:"TEMPO" help:"How fast: ${tempo}, or a share of the page's tempo, as 70%. Several are separated by commas."`
	Picture string   `placeholder:"OUT" help:"Also draw the page, holes against time, into this SVG file. For one page."`
	Stems   string   `placeholder:"DIR" help:"Also write the harp and everything else as two sounds, NAME.melody and NAME.backing, in this folder. Added together they are the sound without --mix. Where several play along, each of them is written too (NAME.bass, NAME.snare). For one sound."`
	JSON    bool     `name:"json" help:"Print JSON: a line for each sound, and a line for all of them at the end."`
	overFlags
	Settings kong.Plugins `embed:""`
}

// collectAt is how much the heap grows, in percent, before garbage is collected.
// The runtime's own 100 collects once in a minute's tune, which costs a fifth of
// the time of all the rest; 200 not even in ten minutes', which saves a megabyte
// too, since to collect takes more room than is found.
const collectAt = 200

func (r *renderCmd) run(ctx context.Context, c *console) api.Failure {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
	if err := r.overFlags.check(c.given); err != nil {
		return c.fail("", err)
	}
	p, worst := r.plan(ctx, c)
	switch {
	case p == nil, len(p.Jobs) == 0 && !r.JSON:
		return worst
	case r.Over != "":
		return max(worst, r.renderOver(ctx, c, p))
	}
	if err := p.Prepare(); err != nil {
		return c.fail("", err)
	}
	if len(p.Jobs) == 1 && !r.JSON && (p.Folder == "" || r.Stems != "") {
		return max(worst, c.renderOne(ctx, p.Jobs[0], r))
	}
	return max(worst, c.renderAll(ctx, p, r))
}

// plan says what becomes of each page. What cannot be read is reported here,
// before any work, and left out.
func (r *renderCmd) plan(ctx context.Context, c *console) (*batch.Plan, api.Failure) {
	versions, err := batch.Versions(r.Harp, r.Tempo)
	if err != nil {
		return nil, c.fail("", err)
	}
	p, err := batch.Options{
		Files: r.Files, Versions: versions, Out: r.Out, Picture: r.Picture, Stems: r.Stems,
		Format: c.request.Format, Lines: r.JSON, Screen: batch.Terminal(c.stdout.Writer),
	}.Plan(func(name string) (string, string, error) {
		read, err := c.legiblePage(ctx, name)
		return read.name, read.text, err
	})
	worst := api.NoFailure
	if p != nil {
		worst = c.failUnread(p.Unread)
	}
	if err = cmp.Or(err, c.checkOpen(r.Out, r.Picture)); err != nil {
		return nil, c.fail("", err)
	}
	return p, worst
}

// failUnread reports what could not be read.
func (c *console) failUnread(list []batch.Unread) api.Failure {
	worst := api.NoFailure
	for _, u := range list {
		printDiagnostics(c.stderr, page{name: u.Name}, refused(u.Err))
		worst = max(worst, c.fail(u.Name, u.Err))
	}
	return worst
}

// renderOne makes one sound and reports it.
func (c *console) renderOne(ctx context.Context, j batch.Job, r *renderCmd) api.Failure {
	printFor := func(list []diag.Diagnostic) { printDiagnostics(c.stderr, page{name: j.Name, text: j.Text}, list) }
	req, err := c.asked(ctx, j)
	if err != nil {
		printFor(refused(err))
		return c.fail(j.Name, err)
	}
	o := c.render(ctx, j, req, r.Picture, printFor)
	if o.failure == api.NoFailure && j.Out != batch.Dash {
		c.say("%s", o.wrote())
	}
	if o.failure == api.NoFailure && r.Stems != "" {
		return c.renderStems(ctx, j, o.sound, r.Stems)
	}
	return o.failure
}

// outcome is the result of a job.
type outcome struct {
	job         batch.Job
	failure     api.Failure
	err         error
	unchanged   bool
	sound       *api.Sound
	seconds     float64 // of sound
	diagnostics []diag.Diagnostic
	said        string // messages, of one of many jobs
}

func (o outcome) wrote() string { return fmt.Sprintf("wrote %s, %.1f s", o.job.Out, o.seconds) }

// asked is the request of a job.
func (c *console) asked(ctx context.Context, j batch.Job) (api.Request, error) {
	req := c.request
	if err := req.Set("tab", j.Text); err != nil {
		return req, err
	}
	own := 0.0
	if j.Version.Tempo.Percent != 0 {
		piece, err := c.door.Open(ctx, req)
		if err != nil {
			return req, err
		}
		own = piece.Tempo()
	}
	return j.Version.Request(req, own)
}

// render makes one sound, and a picture if one is named. The diagnostics of the page
// go to printFor before the work begins.
func (c *console) render(ctx context.Context, j batch.Job, req api.Request, picture string, printFor func([]diag.Diagnostic)) (o outcome) {
	o.job = j
	name := j.Name
	defer func() { o.failure = c.fail(name, o.err) }()
	piece, err := c.door.Open(ctx, req)
	if err != nil {
		o.diagnostics, o.err = refused(err), err
		printFor(o.diagnostics)
		return o
	}
	sound, err := piece.Sound(ctx)
	if err != nil {
		o.err = err
		return o
	}
	if o.diagnostics, o.err = piece.Diagnostics(ctx); o.err != nil {
		return o
	}
	printFor(o.diagnostics)
	o.sound = sound
	o.seconds = float64(sound.Frames()) / float64(req.Rate)
	write := c.played(ctx, sound)
	if j.FLAC {
		write = encodedFLAC(ctx, sound)
	}
	name = j.Out
	o.err = notWritten(ctx, c.writeTo(ctx, j.Out, write))
	if o.err == nil && picture != "" {
		name = picture
		o.err = c.drawTo(ctx, picture, piece)
	}
	return o
}

// drawTo writes the picture of a piece to a file.
func (c *console) drawTo(ctx context.Context, name string, piece *api.Piece) error {
	drawn, err := piece.Picture(ctx)
	if err != nil {
		return notWritten(ctx, err)
	}
	return c.writeTo(ctx, name, batch.Exactly(drawn))
}

// encodedFLAC makes a FLAC file of a sound.
func encodedFLAC(ctx context.Context, sound *api.Sound) func(io.Writer) error {
	return func(w io.Writer) error {
		file, err := sound.FLAC(ctx)
		if err != nil {
			return err
		}
		return batch.Exactly(file)(w)
	}
}

// played renders a sound into a file.
func (c *console) played(ctx context.Context, sound *api.Sound) func(io.Writer) error {
	return c.metered(sound.Size(), func(w io.Writer) error { return sound.WriteTo(ctx, w) })
}

// metered writes size bytes, with a progress bar on a terminal.
func (c *console) metered(size int64, write func(io.Writer) error) func(io.Writer) error {
	return func(w io.Writer) error {
		m := batch.NewMeter(w, size, c.stderr)
		defer m.Wipe()
		return write(m)
	}
}

// open reads a page and opens it with the settings of the flags. The diagnostics of
// a page that is refused are printed here.
func (c *console) open(ctx context.Context, name string) (*api.Piece, page, error) {
	p, err := c.read(ctx, name)
	if err != nil {
		printDiagnostics(c.stderr, p, refused(err))
		return nil, p, err
	}
	req := c.request
	if err := req.Set("tab", p.text); err != nil {
		return nil, p, err
	}
	piece, err := c.door.Open(ctx, req)
	printDiagnostics(c.stderr, p, refused(err))
	return piece, p, err
}

// remark prints the diagnostics of a page that can be played.
func (c *console) remark(ctx context.Context, p page, piece *api.Piece) error {
	list, err := piece.Diagnostics(ctx)
	printDiagnostics(c.stderr, p, list)
	return err
}
