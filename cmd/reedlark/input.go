package main

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"

	"reedlark/api"
)

// dash names standard input or output.
const dash = "-"

// page is a tab as it was read.
type page struct {
	name string // as messages say it
	text string
}

// read reads a file, or standard input for a dash, and no more of it than the
// door needs to see that it is too long.
func (c *console) read(ctx context.Context, name string) (page, error) {
	text, err := c.readBytes(ctx, name, api.MaxTab+1)
	p := page{shownName(name), string(text)}
	if err != nil {
		return p, err
	}
	return p, legible(p.text)
}

func shownName(name string) string {
	if name == dash {
		return "<stdin>"
	}
	return name
}

// readBytes reads the first bytes of a file, or of standard input for a dash.
func (c *console) readBytes(ctx context.Context, name string, most int64) ([]byte, error) {
	if name == dash {
		return c.readInput(ctx, most)
	}
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &api.CallError{Kind: api.NotFound, Detail: "there is no such file"}
	}
	if err != nil {
		return nil, plain(err)
	}
	defer func() { _ = f.Close() }() // only read from
	if isFolder(name) {
		return nil, badOut("this is a folder, not a page of tab")
	}
	text, err := io.ReadAll(io.LimitReader(f, most))
	return text, plain(err)
}

// readInput reads standard input, but does not outwait an interrupt.
func (c *console) readInput(ctx context.Context, most int64) ([]byte, error) {
	type result struct {
		text []byte
		err  error
	}
	read := make(chan result, 1)
	go func() {
		text, err := io.ReadAll(io.LimitReader(c.stdin, most))
		read <- result{text, err}
	}()
	select {
	case r := <-read:
		return r.text, r.err
	case <-ctx.Done():
		return nil, errors.New("interrupted")
	}
}

// plain leaves a file's name and the call that failed out of an error: the
// message it goes into names the file already.
func plain(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}
