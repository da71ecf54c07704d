package main

import (
	"cmp"
	"context"
	"errors"
	"io"
	"path/filepath"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/tab/diag"
)

// refused is the diagnostics of a tab that was refused.
func refused(err error) []diag.Diagnostic {
	var tab *api.TabError
	if errors.As(err, &tab) {
		return tab.Diagnostics
	}
	return nil
}

type scoreCmd struct {
	File     string       `arg:"" help:"A page of tab, - for standard input."`
	Out      string       `short:"o" placeholder:"OUT" help:"The JSON file to write, - for standard output, the default if you ask for no other file."`
	MIDI     string       `name:"midi" placeholder:"OUT" help:"The MIDI file to write, - for standard output."`
	MusicXML string       `name:"musicxml" placeholder:"OUT" help:"The MusicXML file to write, - for standard output: the whole page as sheet music."`
	ForC     bool         `name:"for-c" help:"Write the sheet music for a C harp, with a transposition."`
	Settings kong.Plugins `embed:""`
}

func (s *scoreCmd) run(ctx context.Context, c *console) api.Failure {
	named := []string{s.Out, s.MIDI, s.MusicXML}
	s.choose(c.request.Format)
	if err := cmp.Or(s.check(c.stdout.Writer), c.checkOpen(named...)); err != nil {
		return c.fail("", err)
	}
	piece, p, err := c.open(ctx, s.File)
	if err != nil {
		return c.fail(p.name, err)
	}
	worst := api.NoFailure
	for _, f := range s.files(ctx, piece) {
		if f.out == "" {
			continue
		}
		text, err := f.made()
		if err != nil {
			worst = max(worst, c.fail(p.name, err))
			continue
		}
		worst = max(worst, c.put(ctx, f.out, text))
	}
	return worst
}

// scoreFile is one of the files that a score becomes.
type scoreFile struct {
	out  string // "" for none
	made func() ([]byte, error)
}

// choose sends the one format that is asked for to standard output where no file
// is named.
func (s *scoreCmd) choose(format string) {
	if s.Out != "" || s.MIDI != "" || s.MusicXML != "" {
		return
	}
	switch format {
	case "midi":
		s.MIDI = batch.Dash
	case "musicxml":
		s.MusicXML = batch.Dash
	default:
		s.Out = batch.Dash
	}
}

func (s *scoreCmd) files(ctx context.Context, piece *api.Piece) []scoreFile {
	return []scoreFile{
		{s.Out, func() ([]byte, error) { return scoreJSON(ctx, piece) }},
		{s.MIDI, func() ([]byte, error) { return piece.MIDI(ctx) }},
		{s.MusicXML, func() ([]byte, error) { return piece.MusicXML(ctx, s.ForC) }},
	}
}

func scoreJSON(ctx context.Context, piece *api.Piece) ([]byte, error) {
	score, err := piece.Score(ctx)
	if err != nil {
		return nil, err
	}
	return api.JSON(score)
}

// check refuses files that would take each other's place, or that of the page,
// what nobody can read on a terminal, and what is said of sheet music where none
// is written.
func (s *scoreCmd) check(stdout io.Writer) error {
	if s.ForC && s.MusicXML == "" {
		return batch.Usagef("--for-c is about sheet music; add --musicxml and a file")
	}
	if s.MIDI == batch.Dash && batch.Terminal(stdout) {
		return batch.Usagef("a MIDI file is not text: name a file with --midi, or redirect it with > or |")
	}
	taken := map[string]bool{}
	for _, out := range []string{s.Out, s.MIDI, s.MusicXML} {
		if out == "" {
			continue
		}
		if taken[filepath.Clean(out)] {
			return batch.Usagef("two files would both become %s", out)
		}
		if batch.SameFile(s.File, out) {
			return batch.Usagef("the output would overwrite the page %s", s.File)
		}
		taken[filepath.Clean(out)] = true
	}
	return batch.NotPages(s.Out, s.MIDI, s.MusicXML)
}

// answer writes what the door answered, as HTTP would send it.
func (c *console) answer(ctx context.Context, out string, answer any) api.Failure {
	text, err := api.JSON(answer)
	if err != nil {
		return c.fail("", err)
	}
	return c.put(ctx, out, text)
}

func (c *console) put(ctx context.Context, out string, text []byte) api.Failure {
	return c.fail(out, c.writeTo(ctx, out, batch.Exactly(text)))
}
