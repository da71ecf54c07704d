package main

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/cmd/reedlark/textfile"
)

type rewriteCmd struct {
	Files    []string     `arg:"" name:"file" help:"Pages of tab; a folder stands for all .txt and .tab files in and under it, - for standard input."`
	Out      string       `short:"o" placeholder:"OUT" help:"The file to write, - for standard output, which it is for one page where nothing else is asked for; of several pages, a folder that gets the same tree."`
	InPlace  bool         `help:"Write each page where it is, and keep it as it was in the folder .reedlark-before beside the pages."`
	Backup   string       `placeholder:"DIR" help:"The folder to keep replaced pages in, and for --undo to look in, instead of .reedlark-before."`
	Undo     bool         `help:"Restore the pages as they were before they were last rewritten in place."`
	Diff     bool         `help:"Show what would change, as a unified diff, and write nothing."`
	Settings kong.Plugins `embed:""`

	backups map[string]*batch.Backup // by folder
	swept   map[string]bool          // folders
}

// revision is a page before and after.
type revision struct {
	name, out     string // out is empty where a diff is all
	root          string // the folder of the pages
	before, after []byte
	text, rewrote string // the same in UTF-8
}

func (v *revision) right() bool { return bytes.Equal(v.before, v.after) }

// run rewrites pages. A page that is right already is not touched, and one that
// cannot be read does not stop the others.
func (r *rewriteCmd) run(ctx context.Context, c *console) api.Blame {
	if r.Undo {
		return r.undo(ctx, c)
	}
	found, unread := batch.Find(r.Files)
	outs, err := r.outs(found)
	err = cmp.Or(err, c.checkOpen(r.Out))
	if err != nil {
		return c.fail("", err)
	}
	r.backups = map[string]*batch.Backup{}
	defer r.closeBackups()
	worst := c.failUnread(unread)
	sum := revisions{done: "rewritten", left: len(found)}
	if r.Diff {
		sum.done = "would change"
	}
	for i, s := range found {
		if ctx.Err() != nil {
			c.say("interrupted: %s", sum)
			return api.Ours
		}
		v, err := c.revise(ctx, s.Name)
		at := v.name
		if err == nil {
			v.out, v.root = outs[i], rootOf(s)
			at = cmp.Or(v.out, at)
			err = r.keep(ctx, c, v)
		}
		worst = max(worst, c.fail(at, err))
		sum.count(v, err)
		if batch.Hopeless(err) || c.stdout.err != nil {
			break // the next page would meet it too
		}
	}
	if len(found) > 1 {
		c.say("%s", sum)
	}
	return worst
}

// outs is where each page goes.
func (r *rewriteCmd) outs(found []batch.Page) ([]string, error) {
	outs := make([]string, len(found))
	many := len(found) > 1 || batch.IsFolder(r.Files[0])
	switch {
	case r.Backup != "" && batch.Apart(r.Backup, r.Files) != nil:
		return nil, batch.Apart(r.Backup, r.Files)
	case r.InPlace && r.Out != "":
		return nil, batch.Usagef("--in-place and -o name two places for one page; give one of them")
	case r.Diff:
		return outs, nil
	case r.InPlace:
		for i, s := range found {
			if s.Name == batch.Dash {
				return nil, batch.Usagef("standard input has no place to be rewritten in")
			}
			outs[i] = s.Name
		}
		return outs, nil
	case many && r.Out == "":
		return nil, batch.Usagef("say where %d pages go: -o and a folder, or --in-place; --diff shows what would change", len(found))
	case !many && r.Out == "":
		return []string{batch.Dash}, nil
	case !many && !batch.IsFolder(r.Out) && !os.IsPathSeparator(r.Out[len(r.Out)-1]):
		return []string{r.Out}, nil
	}
	return outs, r.intoFolder(found, outs)
}

// intoFolder gives every page its place in the folder that -o names.
func (r *rewriteCmd) intoFolder(found []batch.Page, outs []string) error {
	info, err := os.Stat(r.Out)
	if r.Out == batch.Dash || err == nil && !info.IsDir() {
		return batch.Usagef("%d pages do not fit into %s; -o can name a folder", len(found), r.Out)
	}
	taken := map[string]string{}
	for i, s := range found {
		outs[i] = filepath.Join(r.Out, s.Path)
		if batch.SameFile(outs[i], s.Name) {
			return batch.Usagef("what is made would take the place of the page %s; --in-place does that, and keeps a copy of it", s.Name)
		}
		if other, twice := taken[outs[i]]; twice {
			return batch.Usagef("%s and %s would both become %s", other, s.Name, outs[i])
		}
		taken[outs[i]] = s.Name
	}
	return batch.Apart(r.Out, r.Files)
}

// revise reads a page and rewrites it, in the encoding it is in.
func (c *console) revise(ctx context.Context, name string) (*revision, error) {
	v := &revision{name: shownName(name)}
	const widest = 2 // bytes that a character of one byte in UTF-8 may take
	file, err := c.readBytes(ctx, name, widest*(api.MaxTab+1))
	if err != nil {
		return v, err
	}
	text, encoding, err := textfile.Decode(file)
	if err != nil {
		return v, &api.CallError{Kind: api.Malformed, Parameter: "tab", Detail: err.Error()}
	}
	v.before, v.text = file, text
	if encoding.Guessed {
		c.say("%s: this is not UTF-8; it is read and written as %s", v.name, encoding.Name)
	}
	req := c.request
	if err := req.Set("tab", text); err != nil {
		return v, err
	}
	p := page{v.name, text}
	piece, err := c.door.Open(ctx, req)
	tell(c.stderr, p, refused(err))
	if err != nil {
		return v, err
	}
	if err := c.remark(ctx, p, piece); err != nil {
		return v, err
	}
	if v.rewrote, err = piece.Rewritten(ctx); err != nil {
		return v, err
	}
	if v.after, err = encoding.Encode(v.rewrote); err != nil {
		return v, &api.CallError{Kind: api.NotAllowed, Parameter: "to_convention", Detail: err.Error()}
	}
	return v, nil
}

// keep writes a page that was rewritten, or shows what changed in it.
func (r *rewriteCmd) keep(ctx context.Context, c *console, v *revision) error {
	switch {
	case r.Diff:
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
		if err := r.backup(v.root).Keep(ctx, v.out, v.before, v.after); err != nil {
			return fmt.Errorf("it is left as it was, since it could not be kept: %w", batch.Plain(err))
		}
	case r.Out != v.out:
		if err := os.MkdirAll(filepath.Dir(v.out), 0o777); err != nil {
			return batch.Plain(err)
		}
	}
	r.sweep(filepath.Dir(v.out))
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

// revisions counts what became of pages.
type revisions struct {
	done                                    string // what is done with those that are not right
	rewritten, right, refused, failed, left int
}

func (s *revisions) count(v *revision, err error) {
	s.left--
	switch {
	case api.BlameFor(err) == api.Ours:
		s.failed++
	case err != nil:
		s.refused++
	case v.right():
		s.right++
	default:
		s.rewritten++
	}
}

// String says it in a line.
func (s revisions) String() string {
	out := fmt.Sprintf("%d %s %s, %d right already", s.rewritten, plural(s.rewritten, "page"), s.done, s.right)
	for _, more := range []struct {
		n    int
		word string
	}{{s.refused, "refused"}, {s.failed, "failed"}, {s.left, "not reached"}} {
		if more.n > 0 {
			out += fmt.Sprintf(", %d %s", more.n, more.word)
		}
	}
	return out
}
