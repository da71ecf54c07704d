package batch

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// FLAC is the format of that name, and the extension of its files.
const FLAC = "flac"

// Job is one sound that a page becomes.
type Job struct {
	Name    string // of the page, as messages say it
	Text    string // of the page
	Version Version
	Out     string // the file to make, Dash for standard output
	FLAC    bool   // else WAV

	inner string // the part of Out that is named after the page
}

// Options are what a call asks for.
type Options struct {
	Files    []string // pages and folders of pages
	Versions []Version
	Out      string // a file or folder, "" for a place beside each page
	Picture  string // a file, "" for none
	Stems    string // a folder, "" for none
	Format   string // that is asked for, "" if none is
	Lines    bool   // JSON goes to standard output
	Screen   bool   // standard output is a terminal
}

// Plan is what a call comes to.
type Plan struct {
	Jobs   []Job
	Folder string // that all sounds go into; "" where each has its own place
	Unread []Unread
}

// Read reads a page: its name as messages say it, and its text.
type Read func(name string) (shown, text string, err error)

// Plan gives every sound its place, and refuses what would overwrite a page or
// another sound. Pages that cannot be read are left out and listed; there is a plan
// with them even where the rest is refused.
func (o Options) Plan(read Read) (*Plan, error) {
	pages, unread := Find(o.Files)
	folder, err := o.folder(len(pages) * len(o.Versions))
	if err == nil {
		err = o.fits(len(pages))
	}
	if err != nil {
		return nil, err
	}
	p := &Plan{Folder: folder, Unread: unread}
	for _, page := range pages {
		shown, text, err := read(page.Name)
		if err != nil {
			p.Unread = append(p.Unread, Unread{shown, err})
			continue
		}
		p.Jobs = append(p.Jobs, o.jobs(page, Job{Name: shown, Text: text}, folder)...)
	}
	err = o.collisions(p.Jobs)
	for _, j := range p.Jobs {
		err = cmp.Or(err, o.alone(j))
	}
	return p, err
}

// jobs is the sounds of one page.
func (o Options) jobs(page Page, job Job, folder string) []Job {
	out := make([]Job, len(o.Versions))
	for i, mark := range Names(o.Versions) {
		out[i] = job
		out[i].Version = o.Versions[i]
		out[i].Out = o.target(page, folder, mark)
		out[i].inner = filepath.Base(out[i].Out)
		if folder != "" {
			out[i].inner = filepath.Join(filepath.Dir(page.Path), out[i].inner)
		}
		out[i].FLAC = isFLAC(out[i].Out, o.Format)
	}
	return out
}

// isFLAC says whether a sound is written as FLAC: it is asked for, or the name
// of the file says so.
func isFLAC(out, format string) bool {
	return format == FLAC || format != "wav" && strings.EqualFold(filepath.Ext(out), "."+FLAC)
}

// folder is the one that -o names, if it names one; of several sounds it must.
func (o Options) folder(sounds int) (string, error) {
	many := sounds > 1 || slices.ContainsFunc(o.Files, IsFolder)
	info, err := os.Stat(o.Out)
	switch {
	case o.Out == "":
		return "", nil
	case err == nil && info.IsDir():
		return o.Out, Apart(o.Out, o.Files)
	case many && (err == nil || o.Out == Dash || isSound(o.Out)):
		return "", Usagef("%d sounds do not fit into %s; -o can name a folder", sounds, o.Out)
	case many || os.IsPathSeparator(o.Out[len(o.Out)-1]):
		return o.Out, Apart(o.Out, o.Files)
	}
	return "", nil
}

func isSound(name string) bool {
	return slices.Contains([]string{".wav", "." + FLAC}, strings.ToLower(filepath.Ext(name)))
}

// target is where a sound goes.
func (o Options) target(page Page, folder, mark string) string {
	extension := ".wav"
	if o.Format == FLAC {
		extension = "." + FLAC
	}
	switch {
	case folder != "":
		return filepath.Join(folder, Bare(page.Path)+mark+extension)
	case o.Out != "":
		return o.Out
	case page.Name == Dash && mark == "":
		return Dash
	case page.Name == Dash:
		return Bare(page.Path) + mark + extension
	}
	return Bare(page.Name) + mark + extension
}

// folders is every folder that a sound goes into, once.
func (p *Plan) folders() []string {
	var out []string
	for _, j := range p.Jobs {
		if j.Out != Dash {
			out = append(out, filepath.Dir(j.Out))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Prepare makes the folders and removes what killed runs left in them. One sound
// with a place of its own finds out when it is written.
func (p *Plan) Prepare() error {
	if len(p.Jobs) == 1 && p.Folder == "" {
		SweepBeside(p.Jobs[0].Out)
		return nil
	}
	for _, folder := range p.folders() {
		if err := MakeFolder(folder); err != nil {
			return err
		}
	}
	return nil
}

// Stem is where a stem of the sound goes: beside the others, named after the
// sound; "tab" where that goes to standard output.
func (j Job) Stem(folder, name string) string {
	base, extension := j.Out, ".wav"
	if base == Dash {
		base = "tab"
	}
	if j.FLAC {
		extension = "." + FLAC
	}
	return filepath.Join(folder, Bare(filepath.Base(base))+"."+name+extension)
}
