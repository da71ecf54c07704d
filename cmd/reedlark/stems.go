package main

import (
	"context"
	"io"
	"os"
	"path/filepath"

	"reedlark/api"
)

// renderStems writes the stems of a sound into a folder, which is made where it
// is not there yet.
func (c *console) renderStems(ctx context.Context, j job, sound *api.Sound, folder string) api.Blame {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return c.fail(folder, plain(err))
	}
	worst := api.Nobody
	for _, name := range api.Stems() {
		worst = max(worst, c.renderStem(ctx, sound, name, stemName(j, folder, name), j.flac))
	}
	return worst
}

func (c *console) renderStem(ctx context.Context, sound *api.Sound, name, out string, flac bool) api.Blame {
	stem, err := sound.Stem(name)
	if err != nil {
		return c.fail(out, err)
	}
	write := func(w io.Writer) error { return stem.WriteTo(ctx, w) }
	if flac {
		write = packed(ctx, stem)
	}
	if err := interrupted(ctx, c.writeTo(out, write)); err != nil {
		return c.fail(out, err)
	}
	c.say("wrote %s", out)
	return api.Nobody
}

// stemName is where a stem goes: beside the others, named after the sound; "tab"
// where that goes to standard output.
func stemName(j job, folder, name string) string {
	base, ending := j.out, ".wav"
	if base == dash {
		base = "tab"
	}
	if j.flac {
		ending = "." + flacFormat
	}
	return filepath.Join(folder, bare(filepath.Base(base))+"."+name+ending)
}
