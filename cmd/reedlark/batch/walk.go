package batch

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"reedlark/api"
)

// Dash names standard input or standard output.
const Dash = "-"

// extensions are those of pages of tab in a folder.
var extensions = []string{".txt", ".tab"}

// Page is a page that was named, or found in a folder that was named.
type Page struct {
	Name string // of the file
	Path string // relative to the folder that was named
}

// Unread is a file or folder that could not be looked into.
type Unread struct {
	Name string
	Err  error
}

// Usagef is the error of a wrong call, an *api.CallError.
func Usagef(format string, args ...any) error {
	return &api.CallError{Kind: api.NotAllowed, Detail: fmt.Sprintf(format, args...)}
}

// Find lists the files that were named, with all pages in and under a folder in
// its place, in order of their names. Hidden files and folders, and files whose
// names are not those of pages, are passed over.
func Find(names []string) (found []Page, unread []Unread) {
	for _, name := range names {
		w := &walker{}
		w.find(name)
		unread = append(unread, w.unread...)
		for _, p := range w.pages {
			found = append(found, Page{p, pathIn(name, p)})
		}
	}
	return found, unread
}

func pathIn(named, page string) string {
	if page == Dash {
		return "tab.txt"
	}
	path, err := filepath.Rel(named, page)
	if err != nil || path == "." {
		path = filepath.Base(page)
	}
	return path
}

// NotPages refuses outputs with the name of a page: a slip there would cost a page.
func NotPages(outs ...string) error {
	for _, out := range outs {
		if IsPage(out) {
			return Usagef("%s is the name of a page of tab, which would be overwritten; choose another name for the output", out)
		}
	}
	return nil
}

// IsPage reports whether a file has the name of a page.
func IsPage(name string) bool {
	return slices.Contains(extensions, strings.ToLower(filepath.Ext(name)))
}

// IsFolder reports whether a folder has this name.
func IsFolder(name string) bool {
	info, err := os.Stat(name)
	return name != Dash && err == nil && info.IsDir()
}

// SameFile reports whether two names are of one ordinary file.
func SameFile(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && x.Mode().IsRegular() && os.SameFile(x, y)
}

// Bare is the name of a file without its extension.
func Bare(path string) string { return strings.TrimSuffix(path, filepath.Ext(path)) }

// Plain drops the file name and the failed call from an error: the message it
// becomes part of already names the file.
func Plain(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

// walker collects the pages in a folder and the folders in it.
type walker struct {
	pages  []string
	unread []Unread
}

// find collects one file or folder. Whether a file can be read shows when it is.
func (w *walker) find(name string) {
	if !IsFolder(name) {
		w.pages = append(w.pages, name)
		return
	}
	w.enter(name, nil)
	if len(w.pages)+len(w.unread) == 0 {
		w.fail(name, &api.CallError{Kind: api.NotFound, Detail: "there is no .txt and no .tab file in this folder"})
	}
}

// enter looks through one folder. The folders above it, with links resolved, stop
// a link back up from going round for ever.
func (w *walker) enter(folder string, above []string) {
	resolved, err := filepath.EvalSymlinks(folder)
	if err == nil {
		resolved, err = filepath.Abs(resolved)
	}
	if err != nil {
		w.fail(folder, Plain(err))
		return
	}
	if slices.Contains(above, resolved) {
		w.fail(folder, &api.CallError{Kind: api.NotAllowed, Detail: "this link leads back to a folder that contains it"})
		return
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		w.fail(folder, Plain(err))
		return
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			w.visit(filepath.Join(folder, e.Name()), append(slices.Clip(above), resolved))
		}
	}
}

// visit enters a folder and keeps a page.
func (w *walker) visit(name string, above []string) {
	info, err := os.Stat(name)
	switch {
	case err == nil && info.IsDir():
		w.enter(name, above)
	case !IsPage(name):
	case errors.Is(err, fs.ErrNotExist):
		w.fail(name, errors.New("this link leads to no file"))
	case err != nil:
		w.fail(name, Plain(err))
	case !info.Mode().IsRegular():
		w.fail(name, errors.New("this is not an ordinary file"))
	default:
		w.pages = append(w.pages, name)
	}
}

func (w *walker) fail(name string, err error) {
	w.unread = append(w.unread, Unread{name, err})
}
