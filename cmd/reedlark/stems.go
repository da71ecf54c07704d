package main

import (
	"context"
	"io"
	"os"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
)

// renderStems writes the stems of a sound into a folder, which is made where it
// is not there yet.
func (c *console) renderStems(ctx context.Context, j batch.Job, sound *api.Sound, folder string) api.Failure {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return c.fail(folder, batch.Plain(err))
	}
	names := api.Stems()
	if players := sound.Players(); len(players) > 1 {
		names = append(names, players...)
	}
	worst := api.NoFailure
	for _, name := range names {
		worst = max(worst, c.renderStem(ctx, sound, name, j.Stem(folder, name), j.FLAC))
	}
	return worst
}

func (c *console) renderStem(ctx context.Context, sound *api.Sound, name, out string, flac bool) api.Failure {
	stem, err := sound.Stem(name)
	if err != nil {
		return c.fail(out, err)
	}
	write := func(w io.Writer) error { return stem.WriteTo(ctx, w) }
	if flac {
		write = encodedFLAC(ctx, stem)
	}
	if err := notWritten(ctx, c.writeTo(ctx, out, write)); err != nil {
		return c.fail(out, err)
	}
	c.say("wrote %s", out)
	return api.NoFailure
}
