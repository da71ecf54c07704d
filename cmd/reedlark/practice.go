package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/course"
	"reedlark/cmd/reedlark/practice"
)

type practiceCmd struct {
	Files    []string     `arg:"" name:"file" help:"Pages of tab; a folder stands for all .txt and .tab files in and under it, - for standard input."`
	Out      string       `short:"o" placeholder:"OUT" help:"The zip file to make, - for standard output. Without it that of one page lies beside it."`
	Title    string       `placeholder:"TITLE" help:"What the set is called; else as its page is."`
	Harp     []string     `group:"Settings" default:"all" placeholder:"HARP" help:"The harps, parted by commas: C, Db, D, Eb, E, F, F#, G, Ab, A, Bb, B, as low F or high G for another octave; all is the twelve, which it is without this."`
	Tempo    []string     `group:"Settings" default:"60%,75%,90%,100%" placeholder:"TEMPO" help:"The tempos, parted by commas: shares of the page's tempo or 20 to 400 beats a minute. Without this 60%, 75%, 90% and 100%."`
	Backing  []string     `group:"Settings" placeholder:"WHAT" help:"What plays along, parted by commas, each in sounds of its own: off, drone, chords. Without this off, and chords where the page has them."`
	Settings kong.Plugins `embed:""`
}

// run makes a set, whole or not at all: every page is opened in every version
// before the first sound is made.
func (p *practiceCmd) run(ctx context.Context, c *console) api.Blame {
	versions, err := course.Versions(p.Harp, p.Tempo)
	if err != nil {
		return c.fail("", err)
	}
	for _, b := range p.Backing {
		if err := (&api.Request{}).Set("backing", b); err != nil {
			return c.fail("", err)
		}
	}
	found, troubles := findPages(p.Files)
	out, err := p.out(c, found)
	if err != nil {
		return c.fail("", err)
	}
	worst := api.Nobody
	for _, t := range troubles {
		worst = max(worst, c.fail(t.name, t.err))
	}
	set := practice.Set{Title: p.Title}
	for _, s := range found {
		lesson, blame := p.lesson(ctx, c, s, versions)
		if ctx.Err() != nil {
			return c.fail(out, interrupted(ctx, ctx.Err()))
		}
		set.Lessons = append(set.Lessons, lesson)
		worst = max(worst, blame)
	}
	if worst != api.Nobody {
		c.say("nothing is made, since a set is whole or not there")
		return worst
	}
	if set.Title == "" {
		set.Title = p.title(set.Lessons)
	}
	return c.pack(ctx, set, out)
}

// out is the file to make.
func (p *practiceCmd) out(c *console, found []source) (string, error) {
	out := p.Out
	switch {
	case out == "" && (len(found) > 1 || isFolder(p.Files[0]) || p.Files[0] == dash):
		return "", badOut("name the zip file to make with -o")
	case out == "":
		out = bare(found[0].name) + ".zip"
	case isFolder(out):
		return "", badOut("%s is a folder; name the zip file to make in it", out)
	}
	if out == dash && terminal(c.stdout.Writer) {
		return "", badOut("a zip file is not for reading: name it with -o, or send it on with > or |")
	}
	for _, s := range found {
		if sameFile(s.name, out) {
			return "", badOut("what is made would take the place of the page %s", s.name)
		}
	}
	return out, noPages(out)
}

// title is that of the only page, or of the folder of them.
func (p *practiceCmd) title(lessons []practice.Lesson) string {
	if len(lessons) == 1 {
		return lessons[0].Title
	}
	if full, err := filepath.Abs(p.Files[0]); err == nil && isFolder(p.Files[0]) {
		return filepath.Base(full)
	}
	return "Practice"
}

// lesson opens a page in every version and tells what comes up, each once.
func (p *practiceCmd) lesson(ctx context.Context, c *console, s source, versions []course.Version) (practice.Lesson, api.Blame) {
	read, err := c.legiblePage(ctx, s.name)
	if err != nil {
		return practice.Lesson{}, c.fail(read.name, err)
	}
	out := practice.Lesson{Title: strings.TrimSpace(bare(filepath.Base(s.path))), Text: read.text}
	came, worst := &remarks{}, api.Nobody
	backings := p.Backing
	if len(backings) == 0 {
		backings = c.backings(ctx, read)
	}
	for i, mark := range course.Names(versions) {
		for _, backing := range backings {
			if ctx.Err() != nil {
				return out, api.Ours
			}
			o, sound, title := c.version(ctx, job{page: read, version: versions[i]}, backing)
			came.add(o)
			if o.err != nil {
				worst = max(worst, o.blame)
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
	tell(c.stderr, read, came.diagnostics)
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
var parts = map[string]string{"off": "harp alone", "drone": "with a drone", "chords": "with chords"}

// version is a version of a page, ready to be made, and the page's title.
func (c *console) version(ctx context.Context, j job, backing string) (o outcome, s practice.Sound, title string) {
	var said strings.Builder
	quiet := *c
	quiet.stderr = &said
	quiet.request.Backing = backing
	defer func() {
		o.blame = quiet.fail(j.page.name, o.err)
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
	s = practice.Sound{
		Harp: length.Harp.Key, Tempo: tempoWords(j.version.Tempo, length.Tempo), Parts: parts[backing],
		Ending: "wav", Seconds: length.Seconds,
		Write: func(ctx context.Context, w io.Writer) error { return c.write(ctx, req, w) },
	}
	if isFLAC("", req.Format) {
		s.Ending = flacFormat
	}
	return o, s, piece.Title()
}

// tempoWords is a tempo as a learner reads it.
func tempoWords(t course.Tempo, beats float64) string {
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
	if isFLAC("", req.Format) {
		return packed(ctx, sound)(w)
	}
	return sound.WriteTo(ctx, w)
}

// pack writes the set.
func (c *console) pack(ctx context.Context, set practice.Set, out string) api.Blame {
	total := 0
	for _, l := range set.Lessons {
		total += len(l.Sounds)
	}
	sweepBeside(out)
	b := newBoard(c.stderr, total)
	err := c.writeTo(out, func(w io.Writer) error {
		return set.Write(ctx, w, func() { b.step(true) })
	})
	b.wipe()
	err = interrupted(ctx, err)
	if err == nil && out != dash {
		c.say("wrote %s, %d %s", out, total, plural(total, "sound"))
	}
	return c.fail(out, err)
}
