package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/alecthomas/kong"

	"reedlark/api"
)

type renderCmd struct {
	Files    []string     `arg:"" name:"file" help:"Pages of tab; a folder stands for its .txt files, - for standard input."`
	Out      string       `short:"o" placeholder:"OUT" help:"The WAV or FLAC file to make, - for standard output; of several pages, the folder to make them in. Without it each sound lies beside its page."`
	Picture  string       `placeholder:"OUT" help:"Also draw the page, holes against time: the SVG file to make. For one page."`
	Settings kong.Plugins `embed:""`
}

// job is one page and the sound it becomes.
type job struct {
	in, out string
	flac    bool
}

// flacFormat is the format that is asked for, and the end of its files' names.
const flacFormat = "flac"

func (r *renderCmd) run(ctx context.Context, c *console) api.Blame {
	jobs, err := r.jobs(c.request.Format)
	if err != nil {
		return c.fail("", err)
	}
	worst := api.Nobody
	for _, j := range jobs {
		worst = max(worst, c.render(ctx, j, r.Picture))
		if ctx.Err() != nil {
			return api.Ours
		}
	}
	return worst
}

// jobs says what becomes of each page, and refuses what would lose one of them.
func (r *renderCmd) jobs(format string) ([]job, error) {
	files, err := pages(r.Files)
	if err != nil {
		return nil, err
	}
	if r.Picture != "" && len(files) > 1 {
		return nil, badOut("%d pages do not fit into one picture", len(files))
	}
	folder, err := r.folder(files)
	if err != nil {
		return nil, err
	}
	jobs := make([]job, len(files))
	taken := map[string]string{}
	for i, in := range files {
		out := r.target(in, folder, format)
		if other, twice := taken[out]; twice && out != dash {
			return nil, badOut("%s and %s would both become %s", other, in, out)
		}
		if sameFile(in, out) || sameFile(in, r.Picture) {
			return nil, badOut("what is made would take the place of the page %s", in)
		}
		jobs[i], taken[out] = job{in, out, isFLAC(out, format)}, in
	}
	return jobs, nil
}

// folder is the one that -o names, if it names one; of several pages it must.
func (r *renderCmd) folder(files []string) (string, error) {
	info, err := os.Stat(r.Out)
	switch {
	case r.Out == "":
		return "", nil
	case err == nil && info.IsDir():
		return r.Out, nil
	case len(files) > 1:
		return "", badOut("%d pages do not fit into one sound; -o can name a folder that is there", len(files))
	}
	return "", nil
}

func (r *renderCmd) target(in, folder, format string) string {
	ending := ".wav"
	if format == flacFormat {
		ending = "." + flacFormat
	}
	name := strings.TrimSuffix(in, filepath.Ext(in)) + ending
	switch {
	case folder != "" && in == dash:
		return filepath.Join(folder, "tab"+ending)
	case folder != "":
		return filepath.Join(folder, filepath.Base(name))
	case r.Out != "":
		return r.Out
	case in == dash:
		return dash
	}
	return name
}

// isFLAC says whether a sound is written as FLAC: it is asked for, or the name
// of the file says so.
func isFLAC(out, format string) bool {
	return format == flacFormat || format == "" && strings.EqualFold(filepath.Ext(out), "."+flacFormat)
}

func badOut(format string, args ...any) error {
	return &api.CallError{Kind: api.NotAllowed, Detail: fmt.Sprintf(format, args...)}
}

func sameFile(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && x.Mode().IsRegular() && os.SameFile(x, y)
}

// render makes one sound, and a picture where one is named, telling what there
// is to say about the page.
func (c *console) render(ctx context.Context, j job, picture string) api.Blame {
	if j.out == dash && terminal(c.stdout.Writer) {
		return c.fail("", badOut("a sound is not for reading: name a file with -o, or send it on with > or |"))
	}
	piece, p, err := c.open(ctx, j.in)
	if err != nil {
		return c.fail(p.name, err)
	}
	sound, err := piece.Sound()
	if err != nil {
		return c.fail(p.name, err)
	}
	if err := c.remark(p, piece); err != nil {
		return c.fail(p.name, err)
	}
	write := c.played(ctx, sound)
	if j.flac {
		write = packed(ctx, sound)
	}
	if err := c.writeTo(j.out, write); err != nil {
		if ctx.Err() != nil {
			err = fmt.Errorf("interrupted, not written")
		}
		return c.fail(j.out, err)
	}
	if j.out != dash {
		c.say("wrote %s, %.1f s", j.out, float64(sound.Frames())/float64(c.request.Rate))
	}
	if picture == "" {
		return api.Nobody
	}
	return c.put(picture, piece.Picture())
}

// packed makes a FLAC file of a sound.
func packed(ctx context.Context, sound *api.Sound) func(io.Writer) error {
	return func(w io.Writer) error {
		file, err := sound.FLAC(ctx)
		if err != nil {
			return err
		}
		_, err = w.Write(file)
		return err
	}
}

// played renders a sound into a file, with a bar for who waits at a terminal.
func (c *console) played(ctx context.Context, sound *api.Sound) func(io.Writer) error {
	return func(w io.Writer) error {
		b := &bar{Writer: w, total: sound.Size()}
		if terminal(c.stderr) {
			b.screen = c.stderr
			defer b.wipe()
		}
		return sound.WriteTo(ctx, b)
	}
}

// open reads a page and opens it with the settings of the flags. The problems
// of a page that is refused are told here.
func (c *console) open(ctx context.Context, name string) (*api.Piece, page, error) {
	p, err := c.read(ctx, name)
	if err != nil {
		return nil, p, err
	}
	req := c.request
	if err := req.Set("tab", p.text); err != nil {
		return nil, p, err
	}
	piece, err := c.door.Open(req)
	tell(c.stderr, p, refused(err))
	return piece, p, err
}

// remark tells what there is to say about a page that can be played.
func (c *console) remark(p page, piece *api.Piece) error {
	list, err := piece.Diagnostics()
	tell(c.stderr, p, list)
	return err
}
