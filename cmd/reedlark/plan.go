package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"reedlark/api"
	"reedlark/cmd/reedlark/course"
)

// job is one sound that a page becomes.
type job struct {
	page    page
	version course.Version
	out     string
	flac    bool
}

// plan is what a call of render comes to.
type plan struct {
	jobs   []job
	folder string // that all sounds go into; "" where each has its own place
	unread []trouble
}

// source is a page that was named, or found in a folder that was.
type source struct {
	name string
	path string // from the folder that was named
}

// findPages finds the pages. The troubles are what is in the way of some.
func findPages(names []string) (found []source, troubles []trouble) {
	for _, name := range names {
		pages, more := pagesUnder([]string{name})
		troubles = append(troubles, more...)
		for _, p := range pages {
			found = append(found, source{p, pathIn(name, p)})
		}
	}
	return found, troubles
}

func pathIn(named, page string) string {
	if page == dash {
		return "tab.txt"
	}
	path, err := filepath.Rel(named, page)
	if err != nil || path == "." {
		path = filepath.Base(page)
	}
	return path
}

// bare is the name of a page without its ending.
func bare(path string) string { return strings.TrimSuffix(path, filepath.Ext(path)) }

// plan says what becomes of each page, and refuses what would lose one of them.
// What cannot be read is told here, before any work, and left out.
func (r *renderCmd) plan(ctx context.Context, c *console) (*plan, api.Blame) {
	versions, err := course.Versions(r.Harp, r.Tempo)
	if err != nil {
		return nil, c.fail("", err)
	}
	found, troubles := findPages(r.Files)
	folder, err := r.folder(len(found) * len(versions))
	if err == nil {
		err = r.fits(found, versions)
	}
	if err != nil {
		return nil, c.fail("", err)
	}
	p := &plan{folder: folder, unread: troubles}
	for _, s := range found {
		read, err := c.legiblePage(ctx, s.name)
		if err != nil {
			p.unread = append(p.unread, trouble{read.name, err})
			continue
		}
		p.jobs = append(p.jobs, r.jobs(s, read, folder, versions, c.request.Format)...)
	}
	worst := api.Nobody
	for _, t := range p.unread {
		worst = max(worst, c.fail(t.name, t.err))
	}
	err = r.collisions(p.jobs)
	for _, j := range p.jobs {
		err = cmp.Or(err, r.alone(c, j))
	}
	if err != nil {
		return nil, c.fail("", err)
	}
	return p, worst
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

// jobs is the sounds of one page.
func (r *renderCmd) jobs(s source, read page, folder string, versions []course.Version, format string) []job {
	out := make([]job, len(versions))
	for i, mark := range course.Names(versions) {
		target := r.target(s, folder, mark, format)
		out[i] = job{read, versions[i], target, isFLAC(target, format)}
	}
	return out
}

// folder is the one that -o names, if it names one; of several sounds it must.
func (r *renderCmd) folder(sounds int) (string, error) {
	many := sounds > 1 || slices.ContainsFunc(r.Files, isFolder)
	info, err := os.Stat(r.Out)
	switch {
	case r.Out == "":
		return "", nil
	case err == nil && info.IsDir():
		return r.Out, apart(r.Out, r.Files)
	case many && (err == nil || r.Out == dash || isSound(r.Out)):
		return "", badOut("%d sounds do not fit into %s; -o can name a folder", sounds, r.Out)
	case many || os.IsPathSeparator(r.Out[len(r.Out)-1]):
		return r.Out, apart(r.Out, r.Files)
	}
	return "", nil
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return name != dash && err == nil && info.IsDir()
}

func isSound(name string) bool {
	return slices.Contains([]string{".wav", "." + flacFormat}, strings.ToLower(filepath.Ext(name)))
}

// apart refuses a folder for what is made that lies in a folder of pages.
func apart(folder string, named []string) error {
	inner, err := whereabouts(folder)
	if err != nil {
		return err
	}
	for _, name := range named {
		outer, err := whereabouts(name)
		if err != nil || !isFolder(name) {
			continue
		}
		if strings.HasPrefix(inner, strings.TrimSuffix(outer, string(filepath.Separator))+string(filepath.Separator)) {
			return badOut("the folder %s for what is made lies in the folder of the pages, %s; name one beside it", folder, name)
		}
	}
	return nil
}

// whereabouts is where a file is or will be, links followed as far as there is
// something.
func whereabouts(name string) (string, error) {
	full, err := filepath.Abs(name)
	if err != nil {
		return "", err
	}
	real, err := filepath.EvalSymlinks(full)
	if err != nil && full != filepath.Dir(full) {
		above, err := whereabouts(filepath.Dir(full))
		return filepath.Join(above, filepath.Base(full)), err
	}
	return real, err
}

// fits refuses several pages or versions where there can be one.
func (r *renderCmd) fits(found []source, versions []course.Version) error {
	if r.Picture != "" && len(found) > 1 {
		return badOut("%d pages do not fit into one picture", len(found))
	}
	if r.Picture != "" && len(versions) > 1 {
		return badOut("a picture is of one harp and tempo, and %d are asked for", len(versions))
	}
	if r.Stems != "" && (len(found) > 1 || len(versions) > 1 || r.JSON) {
		return badOut("stems are of one sound; leave --stems out, or name one page, one harp and one tempo")
	}
	return nil
}

func (r *renderCmd) target(s source, folder, mark, format string) string {
	ending := ".wav"
	if format == flacFormat {
		ending = "." + flacFormat
	}
	switch {
	case folder != "":
		return filepath.Join(folder, bare(s.path)+mark+ending)
	case r.Out != "":
		return r.Out
	case s.name == dash && mark == "":
		return dash
	case s.name == dash:
		return bare(s.path) + mark + ending
	}
	return bare(s.name) + mark + ending
}

// collisions refuses two sounds with one name, and one that would replace a
// page.
func (r *renderCmd) collisions(jobs []job) error {
	taken := map[string]string{}
	var first error
	more := 0
	for _, j := range jobs {
		if sameFile(j.page.name, j.out) || sameFile(j.page.name, r.Picture) {
			return badOut("what is made would take the place of the page %s", j.page.name)
		}
		out := filepath.Clean(j.out)
		other, twice := taken[out]
		taken[out] = j.page.name
		switch {
		case !twice:
		case first == nil:
			first = badOut("%s and %s would both become %s", other, j.page.name, j.out)
		default:
			more++
		}
	}
	if more > 0 {
		return badOut("%v, and %d more have one name with another", first, more)
	}
	return first
}

// alone refuses a place for a sound that is another file's, or no sound's.
func (r *renderCmd) alone(c *console, j job) error {
	ending := strings.ToLower(filepath.Ext(j.out))
	switch {
	case j.out == dash && terminal(c.stdout.Writer):
		return badOut("a sound is not for reading: name a file with -o, or send it on with > or |")
	case j.out == dash && r.JSON:
		return badOut("--json and the sound would both write to standard output; name the sound's file with -o")
	case slices.Contains(endings, ending):
		return badOut("%s is the name of a page of tab, not of a sound", j.out)
	case slices.Contains(otherSounds, ending):
		return badOut("%s cannot be made: sounds are WAV or FLAC files; name it %s.wav or %[2]s.flac", j.out, bare(j.out))
	case r.Picture != "" && filepath.Clean(r.Picture) == filepath.Clean(j.out):
		return badOut("the sound and the picture would both become %s", j.out)
	case r.Picture == dash && r.JSON:
		return badOut("--json and the picture would both write to standard output; name the picture's file")
	case r.Stems != "":
		return cmp.Or(noPages(r.Picture), r.apartFromStems(j))
	}
	return noPages(r.Picture)
}

// otherSounds are the endings of files that players take for sounds of a kind
// that is not made.
var otherSounds = []string{".mp3", ".ogg", ".oga", ".opus", ".m4a", ".aac", ".wma", ".aif", ".aiff", ".mid", ".midi"}

// apartFromStems refuses stems that would take the place of something, or have
// none.
func (r *renderCmd) apartFromStems(j job) error {
	if r.Stems == dash {
		return badOut("--stems names a folder, since there are two files to make; one standard output has no place for them")
	}
	if info, err := os.Stat(r.Stems); err == nil && !info.IsDir() {
		return badOut("--stems names a folder, and %s is a file", r.Stems)
	}
	for _, name := range api.Stems() {
		out := stemName(j, r.Stems, name)
		for _, other := range []string{j.page.name, j.out, r.Picture} {
			if sameFile(other, out) || other == out {
				return badOut("the stem %s would take the place of %s", out, other)
			}
		}
	}
	return nil
}

// folders is every folder that a sound goes into, once.
func (p *plan) folders() []string {
	var out []string
	for _, j := range p.jobs {
		if j.out != dash {
			out = append(out, filepath.Dir(j.out))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// prepare makes the folders, clears away what killed runs left in them, and
// sees that files can be made there. One sound with a place of its own finds out
// when it is written.
func (p *plan) prepare() error {
	if len(p.jobs) == 1 && p.folder == "" {
		sweepBeside(p.jobs[0].out)
		return nil
	}
	for _, folder := range p.folders() {
		if err := os.MkdirAll(folder, 0o777); err != nil {
			return fmt.Errorf("%s cannot be made: %w", folder, plain(err))
		}
		sweep(folder)
		probe, err := createBeside(filepath.Join(folder, "probe"))
		if err == nil {
			err = errors.Join(probe.Close(), os.Remove(probe.Name()))
		}
		if err != nil {
			return fmt.Errorf("nothing can be written in %s: %w", folder, plain(err))
		}
	}
	return nil
}
