package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

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
	if name == dash {
		text, err := c.readInput(ctx)
		return page{"<stdin>", text}, err
	}
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return page{name: name}, &api.CallError{Kind: api.NotFound, Detail: "there is no such file"}
	}
	if err != nil {
		return page{name: name}, plain(err)
	}
	defer func() { _ = f.Close() }() // only read from
	text, err := io.ReadAll(io.LimitReader(f, api.MaxTab+1))
	if err != nil {
		return page{name: name}, plain(err)
	}
	return page{name, string(text)}, legible(string(text))
}

// readInput reads standard input, but does not outwait an interrupt.
func (c *console) readInput(ctx context.Context) (string, error) {
	type result struct {
		text []byte
		err  error
	}
	read := make(chan result, 1)
	go func() {
		text, err := io.ReadAll(io.LimitReader(c.stdin, api.MaxTab+1))
		read <- result{text, err}
	}()
	select {
	case r := <-read:
		return string(r.text), r.err
	case <-ctx.Done():
		return "", errors.New("interrupted")
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

// pages is the files that were named, with the .txt files of a folder in its
// place, in the order of their names.
func pages(names []string) ([]string, error) {
	var out []string
	for _, name := range names {
		info, err := os.Stat(name)
		if name == dash || err != nil || !info.IsDir() {
			out = append(out, name) // what is wrong with a file is told in its turn
			continue
		}
		found, err := textsIn(name)
		if err != nil {
			return nil, err
		}
		out = append(out, found...)
	}
	return out, nil
}

func textsIn(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, e := range entries {
		if !e.IsDir() && strings.EqualFold(filepath.Ext(e.Name()), ".txt") {
			out = append(out, filepath.Join(folder, e.Name()))
		}
	}
	if out == nil {
		return nil, &api.CallError{Kind: api.NotFound, Detail: fmt.Sprintf("there is no .txt file in the folder %q", folder)}
	}
	return out, nil
}
