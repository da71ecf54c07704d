package batch

import (
	"cmp"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"reedlark/api"
)

// Apart refuses a folder for what is made that lies in a folder of pages.
func Apart(folder string, named []string) error {
	inner, err := Whereabouts(folder)
	if err != nil {
		return err
	}
	for _, name := range named {
		outer, err := Whereabouts(name)
		if err != nil || !IsFolder(name) {
			continue
		}
		if strings.HasPrefix(inner, strings.TrimSuffix(outer, string(filepath.Separator))+string(filepath.Separator)) {
			return Usagef("the output folder %s is inside the folder of the pages, %s; name one next to it", folder, name)
		}
	}
	return nil
}

// Whereabouts is where a file is or will be, links followed as far as there is
// something.
func Whereabouts(name string) (string, error) {
	full, err := filepath.Abs(name)
	if err != nil {
		return "", err
	}
	resolved, err := filepath.EvalSymlinks(full)
	if err != nil && full != filepath.Dir(full) {
		above, err := Whereabouts(filepath.Dir(full))
		return filepath.Join(above, filepath.Base(full)), err
	}
	return resolved, err
}

// fits refuses several pages or versions where there can be one.
func (o Options) fits(pages int) error {
	if o.Picture != "" && pages > 1 {
		return Usagef("%d pages do not fit into one picture", pages)
	}
	if o.Picture != "" && len(o.Versions) > 1 {
		return Usagef("a picture shows one harp and tempo, but you asked for %d", len(o.Versions))
	}
	if o.Stems != "" && (pages > 1 || len(o.Versions) > 1 || o.Lines) {
		return Usagef("--stems is for one sound; leave it out, or name one page, one harp and one tempo")
	}
	return nil
}

// collisions refuses two sounds with one name, one that would replace a page, and
// a name that cannot be copied to every system.
func (o Options) collisions(jobs []Job) error {
	taken := map[string]string{}
	var first error
	more := 0
	for _, j := range jobs {
		if SameFile(j.Name, j.Out) || SameFile(j.Name, o.Picture) {
			return Usagef("the output would overwrite the page %s", j.Name)
		}
		out := filepath.Clean(j.Out)
		other, twice := taken[out]
		taken[out] = j.Name
		switch {
		case !twice:
		case first == nil:
			first = Usagef("%s and %s would both become %s", other, j.Name, j.Out)
		default:
			more++
		}
	}
	if more > 0 {
		return Usagef("%v, and there are %d more like it", first, more)
	}
	return first
}

// alone refuses a place for a sound that is another file's, or no sound's.
func (o Options) alone(j Job) error {
	extension := strings.ToLower(filepath.Ext(j.Out))
	switch {
	case j.Out == Dash && o.Screen:
		return Usagef("sound is not text: name a file with -o, or redirect it with > or |")
	case j.Out == Dash && o.Lines:
		return Usagef("--json and the sound would both write to standard output; name the sound's file with -o")
	case slices.ContainsFunc(strings.Split(filepath.ToSlash(j.inner), "/"), IsDevice):
		return Usagef("%s cannot be made: Windows keeps this name for a device; choose another", j.Out)
	case IsPage(j.Out):
		return Usagef("%s is the name of a page of tab, not of a sound", j.Out)
	case slices.Contains(otherSounds, extension):
		return Usagef("%s cannot be made: sounds are WAV or FLAC files; name it %s.wav or %[2]s.flac", j.Out, Bare(j.Out))
	case o.Picture != "" && filepath.Clean(o.Picture) == filepath.Clean(j.Out):
		return Usagef("the sound and the picture would both become %s", j.Out)
	case o.Picture == Dash && o.Lines:
		return Usagef("--json and the picture would both write to standard output; name the picture's file")
	case o.Stems != "":
		return cmp.Or(NotPages(o.Picture), o.apartFromStems(j))
	}
	return NotPages(o.Picture)
}

// otherSounds are the extensions of files that players take for sounds of a kind
// that is not made.
var otherSounds = []string{".mp3", ".ogg", ".oga", ".opus", ".m4a", ".aac", ".wma", ".aif", ".aiff", ".mid", ".midi"}

// apartFromStems refuses stems that would take the place of something, or have
// none.
func (o Options) apartFromStems(j Job) error {
	if o.Stems == Dash {
		return Usagef("--stems names a folder, because it makes two files")
	}
	if info, err := os.Stat(o.Stems); err == nil && !info.IsDir() {
		return Usagef("--stems names a folder, and %s is a file", o.Stems)
	}
	for _, name := range api.Stems() {
		out := j.Stem(o.Stems, name)
		for _, other := range []string{j.Name, j.Out, o.Picture} {
			if SameFile(other, out) || other == out {
				return Usagef("the stem %s would overwrite %s", out, other)
			}
		}
	}
	return nil
}
