package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
)

// rootOf is the folder that a page was found in, or lies in.
func rootOf(p batch.Page) string { return filepath.Clean(strings.TrimSuffix(p.Name, p.Path)) }

// backup is where the pages of a folder are kept as they were.
func (e *editing) backup(root string) *batch.Backup {
	folder := filepath.Join(root, batch.BackupName)
	if e.Backup != "" {
		folder = e.Backup
	}
	if e.backups == nil {
		e.backups = map[string]*batch.Backup{}
	}
	if e.backups[folder] == nil {
		e.backups[folder] = batch.NewBackup(folder)
	}
	return e.backups[folder]
}

func (e *editing) closeBackups() {
	for _, b := range e.backups {
		_ = b.Close() // every line was flushed as it came
	}
}

// sweep removes, once for each folder, what killed runs left there.
func (e *editing) sweep(folder string) {
	if e.swept == nil {
		e.swept = map[string]bool{}
	}
	if !e.swept[folder] {
		batch.Sweep(folder)
		e.swept[folder] = true
	}
}

// undo restores pages as they were before they were last rewritten.
func (r *rewriteCmd) undo(ctx context.Context, c *console) api.Failure {
	if r.InPlace || r.Diff || r.Out != "" {
		return c.fail("", batch.Usagef("--undo cannot be combined with --in-place, --diff or -o"))
	}
	defer r.closeBackups()
	worst, count := api.NoFailure, 0
	for _, name := range r.Files {
		list, err := r.undoNamed(ctx, name)
		worst = max(worst, c.fail(name, err))
		for _, page := range list {
			if page.Err == nil {
				count++
			}
			worst = max(worst, c.fail(shortest(page.Page), page.Err))
		}
	}
	c.say("%d %s restored", count, plural(count, "page"))
	return worst
}

// undoNamed restores a page, or the pages in and under a folder.
func (r *rewriteCmd) undoNamed(ctx context.Context, name string) ([]batch.Restored, error) {
	full, err := filepath.Abs(name)
	if err == nil {
		full, err = batch.Whereabouts(full)
	}
	if err != nil {
		return nil, batch.Plain(err)
	}
	wanted := func(page string) bool {
		return page == full || batch.IsPage(page) && strings.HasPrefix(page, full+string(filepath.Separator))
	}
	for _, folder := range above(full) {
		list, err := r.backup(folder).Undo(ctx, wanted)
		if len(list) > 0 || err != nil {
			return list, err
		}
	}
	return nil, batch.Usagef("nothing here was rewritten in place, so there is nothing to undo")
}

// above is a folder and those it lies in, the nearest first: a page may have been
// rewritten together with those of a folder further up.
func above(name string) (out []string) {
	for folder := name; ; folder = filepath.Dir(folder) {
		if batch.IsFolder(folder) {
			out = append(out, folder)
		}
		if folder == filepath.Dir(folder) {
			return out
		}
	}
}

// shortest is a path as seen from here, where that is shorter.
func shortest(path string) string {
	here, err := os.Getwd()
	if err == nil {
		here, err = batch.Whereabouts(here)
	}
	rel, err2 := filepath.Rel(here, path)
	if errors.Join(err, err2) != nil || len(rel) > len(path) {
		return path
	}
	return rel
}
