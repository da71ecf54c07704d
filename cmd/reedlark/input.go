package main

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"strings"
	"unicode/utf8"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
)

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
	if name == batch.Dash {
		return "<stdin>"
	}
	return name
}

// readBytes reads the first bytes of a file, or of standard input for a dash. An
// interrupt ends the wait for them, and for a named pipe to be opened.
func (c *console) readBytes(ctx context.Context, name string, most int64) ([]byte, error) {
	return batch.Await(ctx, func() ([]byte, error) {
		if name == batch.Dash {
			return io.ReadAll(io.LimitReader(c.stdin, most))
		}
		return readFile(name, most)
	})
}

func readFile(name string, most int64) ([]byte, error) {
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &api.CallError{Kind: api.NotFound, Detail: "there is no such file"}
	}
	if err != nil {
		return nil, batch.Plain(err)
	}
	defer func() { _ = f.Close() }() // only read from
	if batch.IsFolder(name) {
		return nil, batch.Usagef("this is a folder, not a page of tab")
	}
	text, err := io.ReadAll(io.LimitReader(f, most))
	return text, batch.Plain(err)
}

// legible refuses what is plainly no text in UTF-8, and says what it seems to
// be; the door tells the rest.
func legible(text string) error {
	refuse := func(detail string) error {
		return &api.CallError{Kind: api.Malformed, Parameter: "tab", Detail: detail}
	}
	for _, mark := range []string{"\xff\xfe", "\xfe\xff"} { // the byte order marks of UTF-16
		if strings.HasPrefix(text, mark) {
			return refuse("this is text in UTF-16: save it as UTF-8")
		}
	}
	switch {
	case utf8.ValidString(text):
		return nil
	case strings.Contains(text, "\x00"):
		return refuse("this is a binary file, not a page of tab")
	case len(text) <= api.MaxTab: // a longer one may be cut within a character
		return refuse("this is text in an older encoding, not UTF-8: save it as UTF-8")
	}
	return nil
}

// legiblePage reads a page that the door would not refuse to look at.
func (c *console) legiblePage(ctx context.Context, name string) (page, error) {
	p, err := c.read(ctx, name)
	if err != nil {
		return p, err
	}
	req := c.request
	return p, req.Set("tab", p.text)
}
