package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
)

// overFlags lay the harp over a recording.
type overFlags struct {
	Over  string `group:"Over a recording" placeholder:"WAV" help:"Lay the harp over this recording: a WAV file of 8 to 32 bits or floating point, one or two channels, any rate. The result has the same rate, depth and channels unless you ask for others."`
	At    string `group:"Over a recording" placeholder:"SECONDS" default:"0" help:"Where in the recording the first beat falls."`
	Duck  string `group:"Over a recording" placeholder:"DB" default:"0" help:"How far to lower the recording while the harp sounds: 0 to 40 dB."`
	Above string `group:"Over a recording" placeholder:"LU" default:"0" help:"How much louder than the recording the harp is: -20 to 20 LU. --loudness matters only if the recording is silent."`
}

// given is the names of the flags that were given.
func given(parsed *kong.Context) map[string]bool {
	names := map[string]bool{}
	for _, step := range parsed.Path {
		if step.Flag != nil {
			names[step.Flag.Name] = true
		}
	}
	return names
}

func (f overFlags) check(given map[string]bool) error {
	if f.Over == "" && (given["over"] || given["at"] || given["duck"] || given["above"]) {
		return batch.Usagef("--at, --duck and --above go with --over, which names the recording")
	}
	return nil
}

func (f overFlags) overlay() (o api.Overlay, err error) {
	for _, flag := range []struct {
		name, text string
		into       *float64
	}{{"at", f.At, &o.At}, {"duck", f.Duck, &o.Duck}, {"above", f.Above, &o.Above}} {
		if *flag.into, err = strconv.ParseFloat(flag.text, 64); err != nil || math.IsInf(*flag.into, 0) {
			return o, batch.Usagef("--%s is %q, which is not a number", flag.name, flag.text)
		}
	}
	return o, nil
}

// renderOver lays the one sound of a call over a recording.
func (r *renderCmd) renderOver(ctx context.Context, c *console, p *batch.Plan) api.Failure {
	overlay, err := r.overlay()
	if err == nil {
		err = r.fitsOver(p)
	}
	if err == nil {
		err = p.Prepare()
	}
	if err != nil {
		return c.fail("", err)
	}
	j := p.Jobs[0]
	band, file, err := openRecording(r.Over)
	if err != nil {
		return c.fail(r.Over, err)
	}
	defer func() { _ = file.Close() }() // only read from
	if batch.Terminal(c.stderr) {
		c.say("listening to %s", r.Over)
	}
	mix, err := c.mix(ctx, j, band, overlay)
	if err != nil {
		return c.fail(j.Name+" over "+r.Over, notWritten(ctx, err))
	}
	err = notWritten(ctx, c.writeTo(ctx, j.Out, c.metered(mix.Size(), func(w io.Writer) error { return mix.WriteTo(ctx, w) })))
	if err == nil && j.Out != batch.Dash {
		c.say("%s", mixed(j.Out, mix.Report()))
	}
	return c.fail(j.Out, err)
}

// fitsOver refuses what does not go with a recording.
func (r *renderCmd) fitsOver(p *batch.Plan) error {
	switch {
	case len(p.Jobs) != 1:
		return batch.Usagef("--over takes one page, on one harp and at one tempo; but there are %d sounds", len(p.Jobs))
	case p.Jobs[0].FLAC:
		return batch.Usagef("--over makes a WAV file, not FLAC")
	case r.Picture != "" || r.Stems != "" || r.JSON:
		return batch.Usagef("--picture, --stems and --json do not go with --over")
	case batch.SameFile(r.Over, p.Jobs[0].Out):
		return batch.Usagef("the output would overwrite the recording %s; name another file with -o", r.Over)
	case r.Over == batch.Dash:
		return batch.Usagef("--over takes a file, not standard input: the recording is read three times")
	}
	return nil
}

func openRecording(name string) (*api.Recording, *os.File, error) {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, nil, &api.CallError{Kind: api.NotFound, Detail: "there is no such file"}
	case err != nil:
		return nil, nil, batch.Plain(err)
	case !info.Mode().IsRegular():
		return nil, nil, batch.Usagef("this is not an ordinary file, and a recording is read three times")
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, nil, batch.Plain(err)
	}
	band, err := api.OpenRecording(file, info.Size())
	if err != nil {
		return nil, nil, errors.Join(err, file.Close())
	}
	return band, file, nil
}

// mix opens the page as the recording is, where nothing else was asked for, and
// tells what there is to say about it.
func (c *console) mix(ctx context.Context, j batch.Job, band *api.Recording, o api.Overlay) (*api.Mix, error) {
	req, err := c.asked(ctx, j)
	if err != nil {
		printDiagnostics(c.stderr, page{name: j.Name, text: j.Text}, refused(err))
		return nil, err
	}
	like := req
	band.Like(&like)
	for name, set := range map[string]func(){
		"rate": func() { req.Rate = like.Rate }, "depth": func() { req.Depth = like.Depth }, "channels": func() { req.Channels = like.Channels },
	} {
		if !c.given[name] {
			set()
		}
	}
	piece, err := c.door.Open(ctx, req)
	if err != nil {
		printDiagnostics(c.stderr, page{name: j.Name, text: j.Text}, refused(err))
		return nil, err
	}
	if err := c.remark(ctx, page{name: j.Name, text: j.Text}, piece); err != nil {
		return nil, err
	}
	return piece.Over(ctx, band, o)
}

// mixed says what was made, and what it took.
func mixed(out string, r api.MixReport) string {
	said := fmt.Sprintf("wrote %s, %.1f s, the first beat at %.3f s", out, r.Seconds, r.FirstBeat)
	if r.Gain < 0 {
		said += fmt.Sprintf("; everything is %.1f dB lower than it was, so that its peaks fit", -r.Gain)
	}
	return said
}
