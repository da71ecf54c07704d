package main

import (
	"cmp"
	"context"
	"fmt"
	"reflect"
	"slices"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/tab/diag"
)

// fixes says which edits --fix makes.
type fixes string

const (
	fixNone  fixes = ""
	fixKeeps fixes = "keeps" // those after which the page sounds the same, or reads at last
	fixAll   fixes = "all"   // and the first of each other error and warning
)

// fixMapper reads --fix, which takes a value only behind =.
type fixMapper struct{}

// IsBool tells kong that --fix may stand alone.
func (fixMapper) IsBool() bool { return true }

// Decode reads the value.
func (fixMapper) Decode(ctx *kong.DecodeContext, target reflect.Value) error {
	value := fixKeeps
	if ctx.Scan.Peek().Type == kong.FlagValueToken {
		value = fixes(fmt.Sprint(ctx.Scan.Pop().Value))
	}
	if value != fixKeeps && value != fixAll {
		return batch.Usagef("--fix is %q, but it must be --fix alone or --fix=all", string(value))
	}
	target.SetString(string(value))
	return nil
}

// mostRounds is how often a page is read again and fixed further.
const mostRounds = 10

// fix makes the edits of a page, reads it again and goes on, until there is nothing
// left to do. It answers the text, what there still is to say about it, and how
// many edits were made.
func (c *console) fix(ctx context.Context, text string, which fixes) (string, []diag.Diagnostic, int, error) {
	made := 0
	for range mostRounds {
		list, err := c.diagnose(ctx, text)
		if err != nil && refused(err) == nil {
			return text, list, made, err
		}
		fixed, n := diag.Apply(text, chosen(list, which)...)
		if fixed == text {
			break
		}
		text, made = fixed, made+n
	}
	list, err := c.diagnose(ctx, text)
	return text, list, made, err
}

// chosen are the edits to make at once, from the end of the page: of each
// diagnostic the first that keeps, or with all else its first; the edit for every
// place where that is the same answer. A note is in no doubt: its other edits undo
// what was read.
func chosen(list []diag.Diagnostic, which fixes) []diag.Edit {
	var out []diag.Edit
	for _, d := range list {
		i := slices.IndexFunc(d.Edits, func(e diag.Edit) bool { return e.Keeps })
		if i < 0 && which == fixAll && d.Severity != diag.Note && len(d.Edits) > 0 {
			i = 0
		}
		if i < 0 {
			continue
		}
		if next := i + 1; next < len(d.Edits) && d.Edits[next].Everywhere && includes(d.Edits[next], d.Edits[i]) {
			i = next
		}
		out = append(out, d.Edits[i])
	}
	slices.SortStableFunc(out, func(a, b diag.Edit) int { return cmp.Compare(lastChange(b), lastChange(a)) })
	return out
}

// includes reports whether an edit makes all changes of another, so that it is the
// same answer and not a different one.
func includes(all, one diag.Edit) bool {
	return !slices.ContainsFunc(one.Changes, func(c diag.Change) bool { return !slices.Contains(all.Changes, c) })
}

// lastChange is where the last change of an edit begins, in bytes.
func lastChange(e diag.Edit) int { return e.Changes[len(e.Changes)-1].Span.Start }

// runFix fixes pages and writes them as rewrite does. What is still to be said
// about them goes to standard error.
func (k *checkCmd) runFix(ctx context.Context, c *console) api.Failure {
	found, unread := batch.Find(k.Files)
	outs, err := k.outs(k.Files, found)
	if err = cmp.Or(err, c.checkOpen(k.Out)); err != nil {
		return c.fail("", err)
	}
	defer k.closeBackups()
	worst, edits, pages := c.failUnread(unread), 0, 0
	for i, p := range found {
		if ctx.Err() != nil {
			return c.fail("", batch.ErrInterrupted)
		}
		v := &revision{out: outs[i], root: rootOf(p)}
		n, err := guarded(func() (int, error) { return k.fixPage(ctx, c, p.Name, v) })
		if n > 0 {
			edits, pages = edits+n, pages+1
		}
		worst = max(worst, c.fail(cmp.Or(v.name, p.Name), err))
		if batch.Hopeless(err) || c.stdout.err != nil {
			break
		}
	}
	c.say("%d %s made in %d %s", edits, plural(edits, "edit"), pages, plural(pages, "page"))
	return worst
}

// fixPage fixes one page and writes it, also where it still has errors.
func (k *checkCmd) fixPage(ctx context.Context, c *console, name string, v *revision) (edits int, err error) {
	if v.page, err = c.read(ctx, name); err != nil {
		printDiagnostics(c.stderr, v.page, refused(err))
		return 0, err
	}
	text, list, edits, err := c.fix(ctx, v.text, k.Fix)
	printDiagnostics(c.stderr, page{name: v.name, text: text}, list)
	if err != nil && refused(err) == nil {
		return 0, err
	}
	v.encode(c, text)
	return edits, cmp.Or(k.keep(ctx, c, v), err)
}
