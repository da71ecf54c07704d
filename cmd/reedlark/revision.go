package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"

	"reedlark/cmd/reedlark/batch"
	"reedlark/cmd/reedlark/textfile"
)

// editing is where the changed text of pages goes.
type editing struct {
	Out     string `short:"o" placeholder:"OUT" help:"The file to write, - for standard output, the default for one page. For several pages, a folder that gets the same tree."`
	InPlace bool   `help:"Replace each page, and keep the old one in the folder .reedlark-before next to the pages."`
	Backup  string `placeholder:"DIR" help:"The folder to keep replaced pages in, and for rewrite --undo to look in, instead of .reedlark-before."`
	Diff    bool   `help:"Show what would change, as a unified diff, and write nothing."`

	backups map[string]*batch.Backup // by folder
	swept   map[string]bool          // folders
}

// revision is a page before and after.
type revision struct {
	page
	out     string // empty where a diff is all
	root    string // the folder of the pages
	rewrote string
	after   []byte // rewrote, in the encoding of the page
}

func (v *revision) right() bool { return bytes.Equal(v.file, v.after) }

// encode sets what the page is rewritten as, in the encoding it was in, or in
// UTF-8 where that has not all its characters.
func (v *revision) encode(c *console, text string) {
	v.rewrote = text
	var err error
	if v.after, err = v.encoding.Encode(text); err != nil {
		c.say("%s: %s lacks some of the characters, so the page is written as UTF-8", v.name, v.encoding.Name)
		v.after = []byte(text)
	}
}

// outs is where each page goes.
func (e *editing) outs(files []string, found []batch.Page) ([]string, error) {
	outs := make([]string, len(found))
	many := len(found) > 1 || batch.IsFolder(files[0])
	switch {
	case e.Backup != "" && batch.Apart(e.Backup, files) != nil:
		return nil, batch.Apart(e.Backup, files)
	case e.InPlace && e.Out != "":
		return nil, batch.Usagef("--in-place and -o name two places for one page; use one of them")
	case e.Diff:
		return outs, nil
	case e.InPlace:
		for i, s := range found {
			if s.Name == batch.Dash {
				return nil, batch.Usagef("standard input cannot be rewritten in place")
			}
			outs[i] = s.Name
		}
		return outs, nil
	case many && e.Out == "":
		return nil, batch.Usagef("say where %d pages go: -o FOLDER or --in-place; --diff shows what would change", len(found))
	case !many && e.Out == "":
		return []string{batch.Dash}, nil
	case !many && !batch.IsFolder(e.Out) && !os.IsPathSeparator(e.Out[len(e.Out)-1]):
		return []string{e.Out}, nil
	}
	return outs, e.intoFolder(files, found, outs)
}

// intoFolder gives every page its place in the folder that -o names.
func (e *editing) intoFolder(files []string, found []batch.Page, outs []string) error {
	info, err := os.Stat(e.Out)
	if e.Out == batch.Dash || err == nil && !info.IsDir() {
		return batch.Usagef("%d pages do not fit into %s; -o can name a folder", len(found), e.Out)
	}
	taken := map[string]string{}
	for i, s := range found {
		outs[i] = filepath.Join(e.Out, s.Path)
		if batch.SameFile(outs[i], s.Name) {
			return batch.Usagef("the output would overwrite the page %s; --in-place does that, and keeps a copy", s.Name)
		}
		if other, twice := taken[outs[i]]; twice {
			return batch.Usagef("%s and %s would both become %s", other, s.Name, outs[i])
		}
		taken[outs[i]] = s.Name
	}
	return batch.Apart(e.Out, files)
}

// keep writes a page that was rewritten, or shows what changed in it.
func (e *editing) keep(ctx context.Context, c *console, v *revision) error {
	switch {
	case e.Diff:
		text := textfile.Diff(v.name, v.text, v.rewrote)
		if batch.Terminal(c.stdout.Writer) {
			text = cleanLines(text)
		}
		return batch.Exactly([]byte(text))(c.stdout)
	case v.out == batch.Dash:
		return batch.Exactly(v.after)(c.stdout)
	case sameBytes(v.out, v.after):
		return nil
	case batch.SameFile(v.name, v.out): // --in-place, or -o that comes to the same
		if err := e.backup(v.root).Keep(ctx, v.out, v.file, v.after); err != nil {
			return fmt.Errorf("it was left as it was, because a copy could not be kept: %w", batch.Plain(err))
		}
	case e.Out != v.out:
		if err := os.MkdirAll(filepath.Dir(v.out), 0o777); err != nil {
			return batch.Plain(err)
		}
	}
	e.sweep(filepath.Dir(v.out))
	return batch.WriteFile(ctx, v.out, batch.Exactly(v.after))
}

// sameBytes says that a file holds these bytes.
func sameBytes(name string, text []byte) bool {
	info, err := os.Stat(name)
	if err != nil || !info.Mode().IsRegular() || info.Size() != int64(len(text)) {
		return false
	}
	there, err := os.ReadFile(name)
	return err == nil && bytes.Equal(there, text)
}
