package main

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"unicode/utf8"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/cmd/reedlark/textfile"
	"reedlark/tab/diag"
)

// page is a tab as it was read.
type page struct {
	name     string // as messages say it
	text     string
	file     []byte
	encoding textfile.Encoding
}

// read reads a file, or standard input for a dash, in the encoding it is in, and no
// more of it than the door needs to see that it is too long.
func (c *console) read(ctx context.Context, name string) (page, error) {
	const most = 2 * (api.MaxTab + 1) // bytes; a character of one in UTF-8 may take two
	file, err := c.readBytes(ctx, name, most)
	if len(file) == most { // cut, perhaps within a character
		file = file[:most-utf8.UTFMax]
		for len(file) > 0 && !utf8.RuneStart(file[len(file)-1]) {
			file = file[:len(file)-1]
		}
		file = file[:max(len(file)-1, 0)]
	}
	p := page{name: shownName(name), file: file}
	if err != nil {
		return p, err
	}
	p.text, p.encoding, err = textfile.Decode(file)
	var bad *textfile.BadByte
	switch {
	case errors.As(err, &bad):
		p.text = string(file)
		return p, &api.TabError{Diagnostics: []diag.Diagnostic{diag.NewSource(p.text).Place(diag.Problem{
			Severity: diag.Error, Code: diag.InvalidUTF8, Span: diag.Span{Start: bad.Offset, End: bad.Offset + 1},
			Message: "A byte here is no character of UTF-8 text.", Hint: "Save the page as UTF-8.",
		})}}
	case err != nil:
		return p, &api.CallError{Kind: api.Malformed, Parameter: "tab", Detail: err.Error()}
	case p.encoding.Name != textfile.UTF8:
		c.say("%s: this is not UTF-8; it is read as %s", p.name, p.encoding.Name)
	}
	return p, nil
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

// legiblePage reads a page that the door would not refuse to look at.
func (c *console) legiblePage(ctx context.Context, name string) (page, error) {
	p, err := c.read(ctx, name)
	if err != nil {
		return p, err
	}
	req := c.request
	return p, req.Set("tab", p.text)
}
