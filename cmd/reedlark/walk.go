package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"reedlark/api"
)

// endings are those of the names that pages of tab have in a folder.
var endings = []string{".txt", ".tab"}

// noPages refuses to call what is made by the name of a page: a slip there would
// cost a page.
func noPages(outs ...string) error {
	for _, out := range outs {
		if slices.Contains(endings, strings.ToLower(filepath.Ext(out))) {
			return badOut("%s is the name of a page of tab, and would be lost as one; give what is made another name", out)
		}
	}
	return nil
}

// trouble is something that was named, or met in a folder, and could not be
// looked into.
type trouble struct {
	name string
	err  error
}

// walker collects the pages in folders and in the folders in those. Hidden
// files and what is no page by its name are passed over.
type walker struct {
	pages    []string
	troubles []trouble
}

// pagesUnder is the files that were named, with all pages in and under a folder in
// its place, in the order of their names. What is wrong with a file is told
// when it is read.
func pagesUnder(names []string) ([]string, []trouble) {
	w := &walker{}
	for _, name := range names {
		info, err := os.Stat(name)
		if name == dash || err != nil || !info.IsDir() {
			w.pages = append(w.pages, name)
			continue
		}
		before := len(w.pages) + len(w.troubles)
		w.enter(name, nil)
		if len(w.pages)+len(w.troubles) == before {
			w.trouble(name, &api.CallError{Kind: api.NotFound, Detail: "there is no page of tab in this folder, no .txt and no .tab file"})
		}
	}
	return w.pages, w.troubles
}

// enter looks through one folder; above are the folders it lies in, links
// followed, so that a link back up does not lead round for ever.
func (w *walker) enter(folder string, above []string) {
	real, err := filepath.EvalSymlinks(folder)
	if err == nil {
		real, err = filepath.Abs(real)
	}
	if err != nil {
		w.trouble(folder, plain(err))
		return
	}
	if slices.Contains(above, real) {
		w.trouble(folder, &api.CallError{Kind: api.NotAllowed, Detail: "this link leads back to a folder it lies in"})
		return
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		w.trouble(folder, plain(err))
		return
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			w.meet(filepath.Join(folder, e.Name()), append(slices.Clip(above), real))
		}
	}
}

// meet goes into a folder and keeps a page.
func (w *walker) meet(name string, above []string) {
	info, err := os.Stat(name)
	switch {
	case err == nil && info.IsDir():
		w.enter(name, above)
	case !isPage(name):
	case errors.Is(err, fs.ErrNotExist):
		w.trouble(name, errors.New("this link leads to no file"))
	case err != nil:
		w.trouble(name, plain(err))
	case !info.Mode().IsRegular():
		w.trouble(name, errors.New("this is no ordinary file"))
	default:
		w.pages = append(w.pages, name)
	}
}

func (w *walker) trouble(name string, err error) {
	w.troubles = append(w.troubles, trouble{name, err})
}

func isPage(name string) bool {
	return slices.Contains(endings, strings.ToLower(filepath.Ext(name)))
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
