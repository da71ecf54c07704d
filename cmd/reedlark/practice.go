package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/cmd/reedlark/practice"
)

type practiceCmd struct {
	Files    []string     `arg:"" name:"file" help:"Pages of tab. A folder means every .txt and .tab file in it and below; - means standard input."`
	Out      string       `short:"o" placeholder:"OUT" help:"The zip file to write, - for standard output. The default, for one page, is next to it."`
	Title    string       `placeholder:"TITLE" help:"What the set is called. The default is the title of its page."`
	Harp     []string     `group:"Settings" default:"all" placeholder:"HARP" help:"The harps, separated by commas: each ${harp}; all is the twelve, which is the default."`
	Tempo    []string     `group:"Settings" default:"60%,75%,90%,100%" placeholder:"TEMPO" help:"The tempos, separated by commas: shares of the page's tempo or ${tempo}. The default is 60%, 75%, 90% and 100%."`
	Backing  []string     `group:"Settings" placeholder:"WHAT" help:"What plays along, separated by commas, each in its own sounds: ${backing}. The default is off, and chords if the page has them."`
	Settings kong.Plugins `embed:""`
}

// run makes a set, whole or not at all: every page is opened in every version
// before the first sound is made.
func (p *practiceCmd) run(ctx context.Context, c *console) api.Failure {
	versions, err := batch.Versions(p.Harp, p.Tempo)
	if err != nil {
		return c.fail("", err)
	}
	for _, b := range p.Backing {
		if err := (&api.Request{}).Set("backing", b); err != nil {
			return c.fail("", err)
		}
	}
	found, unread := batch.Find(p.Files)
	out, err := p.out(c, found)
	err = cmp.Or(err, c.checkOpen(out))
	if err != nil {
		return c.fail("", err)
	}
	worst := c.failUnread(unread)
	set := practice.Set{Title: p.Title}
	for _, s := range found {
		lesson, failure := p.lesson(ctx, c, s, versions)
		if ctx.Err() != nil {
			return c.fail(out, notWritten(ctx, ctx.Err()))
		}
		set.Lessons = append(set.Lessons, lesson)
		worst = max(worst, failure)
	}
	if worst != api.NoFailure {
		c.say("nothing was written: a set needs all of its pages")
		return worst
	}
	if set.Title == "" {
		set.Title = p.title(set.Lessons)
	}
	return c.pack(ctx, set, out)
}

// out is the file to make.
func (p *practiceCmd) out(c *console, found []batch.Page) (string, error) {
	out := p.Out
	switch {
	case out == "" && (len(found) > 1 || batch.IsFolder(p.Files[0]) || p.Files[0] == batch.Dash):
		return "", batch.Usagef("name the zip file to write with -o")
	case out == "":
		out = batch.Bare(found[0].Name) + ".zip"
	case batch.IsFolder(out):
		return "", batch.Usagef("%s is a folder; name a zip file in it", out)
	}
	if out == batch.Dash && batch.Terminal(c.stdout.Writer) {
		return "", batch.Usagef("a zip file is not text: name a file with -o, or redirect it with > or |")
	}
	for _, s := range found {
		if batch.SameFile(s.Name, out) {
			return "", batch.Usagef("the output would overwrite the page %s", s.Name)
		}
	}
	return out, batch.NotPages(out)
}

// title is that of the only page, or of the folder of them.
func (p *practiceCmd) title(lessons []practice.Lesson) string {
	if len(lessons) == 1 {
		return lessons[0].Title
	}
	if full, err := filepath.Abs(p.Files[0]); err == nil && batch.IsFolder(p.Files[0]) {
		return filepath.Base(full)
	}
	return "Practice"
}

// lesson opens a page in every version and prints the findings, each once.
func (p *practiceCmd) lesson(ctx context.Context, c *console, s batch.Page, versions []batch.Version) (practice.Lesson, api.Failure) {
	read, err := c.legiblePage(ctx, s.Name)
	if err != nil {
		printDiagnostics(c.stderr, read, refused(err))
		return practice.Lesson{}, c.fail(read.name, err)
	}
	out := practice.Lesson{Title: strings.TrimSpace(batch.Bare(filepath.Base(s.Path))), Text: read.text}
	came, worst := &remarks{}, api.NoFailure
	backings := p.Backing
	if len(backings) == 0 {
		backings = c.backings(ctx, read)
	}
	for i, mark := range batch.Names(versions) {
		for _, backing := range backings {
			if ctx.Err() != nil {
				return out, api.OurFailure
			}
			o, sound, title := c.version(ctx, batch.Job{Name: read.name, Text: read.text, Version: versions[i]}, backing)
			came.add(o)
			if o.err != nil {
				worst = max(worst, o.failure)
				continue
			}
			sound.Mark = strings.TrimPrefix(mark, "-")
			if len(backings) > 1 && backing != "off" {
				sound.Mark = strings.TrimPrefix(mark+"-"+backing, "-")
			}
			out.Sounds = append(out.Sounds, sound)
			if title != "" {
				out.Title = title
			}
		}
	}
	printDiagnostics(c.stderr, read, came.diagnostics)
	printf(c.stderr, "%s", strings.Join(came.said, ""))
	return out, worst
}

// backings is what may play along with a page: nothing, and its chords where it
// has some; with chords alone there is no playing without them.
func (c *console) backings(ctx context.Context, p page) []string {
	opened := func(backing string) *api.Piece {
		req := c.request
		req.Tab, req.Backing = p.text, backing
		piece, err := c.door.Open(ctx, req)
		if err != nil {
			return nil
		}
		return piece
	}
	with := opened("chords")
	switch {
	case with == nil || !with.HasChords():
		return []string{"off"}
	case opened("off") == nil:
		return []string{"chords"}
	}
	return []string{"off", "chords"}
}

// parts is who plays, as a learner reads it.
var parts = map[string]string{"off": "harp alone", "drone": "with a drone", "chords": "with chords", "band": "with a band"}

// version is a version of a page, ready to be made, and the page's title.
func (c *console) version(ctx context.Context, j batch.Job, backing string) (o outcome, s practice.Sound, title string) {
	var said strings.Builder
	quiet := *c
	quiet.stderr = &said
	quiet.request.Backing = backing
	defer func() {
		o.failure = quiet.fail(j.Name, o.err)
		o.said = said.String()
	}()
	req, err := quiet.asked(ctx, j)
	if err != nil {
		o.err, o.diagnostics = err, refused(err)
		return o, s, ""
	}
	piece, err := c.door.Open(ctx, req)
	if err != nil {
		o.err, o.diagnostics = err, refused(err)
		return o, s, ""
	}
	if o.diagnostics, o.err = piece.Diagnostics(ctx); o.err != nil {
		return o, s, ""
	}
	length, err := piece.Score(ctx)
	if err != nil {
		o.err = err
		return o, s, ""
	}
	layout, err := piece.WAV()
	if err != nil {
		o.err = err
		return o, s, ""
	}
	s = practice.Sound{
		Harp: length.Harp.Key, Tempo: tempoText(j.Version.Tempo, length.Tempo), Parts: parts[backing],
		Ending: "wav", Seconds: length.Seconds, Bytes: layout.Size,
		Write: func(ctx context.Context, w io.Writer) error { return c.write(ctx, req, w) },
	}
	if req.Format == batch.FLAC {
		s.Ending = batch.FLAC
	}
	return o, s, piece.Title()
}

// tempoText is a tempo as a learner reads it.
func tempoText(t batch.Tempo, beats float64) string {
	own := fmt.Sprintf("%.4g beats a minute", beats)
	if t.Percent == 0 {
		return own
	}
	return fmt.Sprintf("%g %%, %s", t.Percent, own)
}

// write makes one sound.
func (c *console) write(ctx context.Context, req api.Request, w io.Writer) error {
	piece, err := c.door.Open(ctx, req)
	if err != nil {
		return err
	}
	sound, err := piece.Sound(ctx)
	if err != nil {
		return err
	}
	if req.Format == batch.FLAC {
		return encodedFLAC(ctx, sound)(w)
	}
	return sound.WriteTo(ctx, w)
}

// pack writes the set, and keeps what there is of it when it is interrupted.
func (c *console) pack(ctx context.Context, set practice.Set, out string) api.Failure {
	files, size := set.Size()
	upTo := ""
	if c.request.Format == batch.FLAC {
		upTo = "at most "
	}
	c.say("%s: %d files, %s%s", packName(out), files, upTo, megabytes(size))
	batch.SweepBeside(out)
	whole, made := false, 0
	progress := batch.NewProgress(c.stderr, files-1-len(set.Lessons))
	fill := func(w io.Writer) (_ bool, err error) {
		whole, err = set.Write(ctx, w, func() { made++; progress.Step(true) })
		if err == nil && !whole && made == 0 {
			err = batch.ErrInterrupted // nothing worth keeping
		}
		return whole, err
	}
	err := c.writeSome(ctx, out, partial(out), fill)
	progress.Wipe()
	switch {
	case err != nil:
		return c.fail(out, notWritten(ctx, err))
	case !whole:
		c.say("interrupted: %s has the first %d %s", packName(partial(out)), made, plural(made, "sound"))
		return api.OurFailure
	case out != batch.Dash:
		c.say("wrote %s, %d %s", out, made, plural(made, "sound"))
	}
	return api.NoFailure
}

// partial is the name of an interrupted set.
func partial(out string) string {
	if out == batch.Dash {
		return out
	}
	return batch.Bare(out) + ".partial" + filepath.Ext(out)
}

func packName(out string) string {
	if out == batch.Dash {
		return "the set"
	}
	return out
}

// megabytes is a size as people say it.
func megabytes(bytes int64) string { return fmt.Sprintf("%.1f MB", float64(bytes)/1e6) }
