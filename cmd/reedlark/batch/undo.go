package batch

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Restored is what became of one page when a rewriting was undone.
type Restored struct {
	Page string
	Err  error // nil where the page is as it was
}

// Undo restores the pages that the last run replaced, of those that are wanted by
// their full path. A page that somebody has changed since then is left alone. When
// it is called again it undoes the run before that.
func (b *Backup) Undo(ctx context.Context, wanted func(page string) bool) ([]Restored, error) {
	if _, err := os.Lstat(filepath.Join(b.folder, backupLog)); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err := b.read(); err != nil {
		return nil, err
	}
	folder, err := Whereabouts(b.folder)
	if err != nil {
		return nil, err
	}
	var out []Restored
	for _, r := range b.last(func(page string) bool { return wanted(filepath.Join(folder, filepath.FromSlash(page))) }) {
		if ctx.Err() != nil {
			return out, ErrInterrupted
		}
		page := filepath.Join(folder, filepath.FromSlash(r.Page))
		out = append(out, Restored{page, b.restore(ctx, page, r)})
	}
	return out, nil
}

// last is what the last run replaced that was not undone, of the wanted pages.
func (b *Backup) last(wanted func(page string) bool) []replaced {
	open := map[string][]replaced{} // by page, the latest last
	var pages []string
	for _, r := range b.all {
		list, known := open[r.Page]
		switch {
		case r.Undone && len(list) > 0:
			open[r.Page] = list[:len(list)-1]
		case !r.Undone && wanted(r.Page):
			if !known {
				pages = append(pages, r.Page)
			}
			open[r.Page] = append(list, r)
		}
	}
	run := 0
	for _, list := range open {
		if len(list) > 0 {
			run = max(run, list[len(list)-1].Run)
		}
	}
	var out []replaced
	for _, page := range pages {
		if list := open[page]; len(list) > 0 && list[len(list)-1].Run == run {
			out = append(out, list[len(list)-1])
		}
	}
	return out
}

// restore writes a page as it was.
func (b *Backup) restore(ctx context.Context, page string, r replaced) error {
	was, err := os.ReadFile(filepath.Join(b.folder, filepath.FromSlash(r.Kept)))
	if err == nil && hash(was) != r.Was {
		err = errors.New("the copy that was kept has changed")
	}
	if err != nil {
		return Plain(err)
	}
	is, err := os.ReadFile(page)
	switch {
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return Plain(err)
	case err == nil && hash(is) != r.Became && hash(is) != r.Was:
		return Usagef("it was changed after it was rewritten, so it was left alone; the old page is %s", filepath.Join(b.folder, filepath.FromSlash(r.Kept)))
	case err != nil || hash(is) != r.Was:
		if err := WriteFile(ctx, page, Exactly(was)); err != nil {
			return err
		}
	}
	r.Undone = true
	return errors.Join(restoreTimes(page, r), b.add(r))
}
