package main

import (
	"cmp"
	"context"
	"fmt"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
)

type rewriteCmd struct {
	Files []string `arg:"" name:"file" help:"Pages of tab. A folder means every .txt and .tab file in it and below; - means standard input."`
	editing
	Undo     bool         `help:"Restore the pages as they were before they were last rewritten or fixed in place."`
	Anyway   bool         `help:"Also rewrite pages that leave in doubt what is blown and what is drawn."`
	Settings kong.Plugins `embed:""`
}

// run rewrites pages. A page that is right already is not touched, and one that
// cannot be read does not stop the others.
func (r *rewriteCmd) run(ctx context.Context, c *console) api.Failure {
	if r.Undo {
		return r.undo(ctx, c)
	}
	found, unread := batch.Find(r.Files)
	outs, err := r.outs(r.Files, found)
	err = cmp.Or(err, c.checkOpen(r.Out))
	if err != nil {
		return c.fail("", err)
	}
	defer r.closeBackups()
	worst := c.failUnread(unread)
	sum := revisions{done: "rewritten", left: len(found)}
	if r.Diff {
		sum.done = "would change"
	}
	for i, s := range found {
		if ctx.Err() != nil {
			c.say("interrupted: %s", sum)
			return api.OurFailure
		}
		v, err := guarded(func() (*revision, error) { return r.revise(ctx, c, s.Name) })
		if v == nil { // a bug
			v = &revision{page: page{name: shownName(s.Name)}}
		}
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

// revise reads a page and rewrites it, in the encoding it is in.
func (r *rewriteCmd) revise(ctx context.Context, c *console, name string) (*revision, error) {
	p, err := c.read(ctx, name)
	v := &revision{page: p}
	if err != nil {
		printDiagnostics(c.stderr, p, refused(err))
		return v, err
	}
	req := c.request
	if err := req.Set("tab", p.text); err != nil {
		return v, err
	}
	piece, err := c.door.Open(ctx, req)
	printDiagnostics(c.stderr, p, refused(err))
	if err != nil {
		return v, err
	}
	list, err := piece.Diagnostics(ctx)
	if err != nil {
		return v, err
	}
	printDiagnostics(c.stderr, p, list)
	if q := breathQuestions(list); len(q) > 0 && !r.Anyway {
		c.say("%s: not rewritten, because it is in doubt what is blown and what is drawn: answer the question in line %d, or add --anyway", v.name, q[0].Line)
		return v, &api.TabError{Diagnostics: list}
	}
	text, err := piece.Rewritten(ctx)
	if err == nil {
		v.encode(c, text)
	}
	return v, err
}

// revisions counts what became of pages.
type revisions struct {
	done                                    string // what is done with those that are not right
	rewritten, right, refused, failed, left int
}

func (s *revisions) count(v *revision, err error) {
	s.left--
	switch {
	case api.FailureOf(err) == api.OurFailure:
		s.failed++
	case err != nil:
		s.refused++
	case v.right():
		s.right++
	default:
		s.rewritten++
	}
}

// String is a line for people.
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
