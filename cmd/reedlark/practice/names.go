package practice

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"reedlark/cmd/reedlark/batch"
)

// longest is the most bytes of a title in the name of a file. With what is added
// it stays within the 255 that file systems take, and mostly within the 260
// characters that some programs take for a whole path.
const longest = 60

// fileName makes a name of a title that every file system takes: composed
// characters, none that Windows, a shell or an address gives a meaning to, no
// blank or dot at either end.
func fileName(title string) string {
	safe := strings.Map(func(r rune) rune {
		switch {
		case strings.ContainsRune("/\\:*?\"<>|#%&", r):
			return '-'
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsGraphic(r), r == unicode.ReplacementChar:
			return -1
		}
		return r
	}, norm.NFC.String(title))
	safe = strings.Join(strings.Fields(safe), " ")
	if len(safe) > longest {
		safe = strings.ToValidUTF8(safe[:longest], "")
	}
	safe = strings.Trim(safe, " .-~")
	if safe == "" || batch.IsDevice(safe) {
		safe = strings.TrimRight("tune "+safe, " ")
	}
	return safe
}

// lesson is a lesson with the places of its files in the set.
type lesson struct {
	Lesson
	path   string // of its text
	Sounds []Sound
}

// Href is the address of the text.
func (l lesson) Href() string { return href(l.path) }

// named gives every file its place. Two lessons of one title get a number; names
// that differ in capitals alone are one name to some systems.
func named(lessons []Lesson) []lesson {
	taken := map[string]bool{}
	out := make([]lesson, len(lessons))
	for i, l := range lessons {
		name := fileName(l.Title)
		for n := 2; taken[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s %d", fileName(l.Title), n)
		}
		taken[strings.ToLower(name)] = true
		out[i] = lesson{l, "pages/" + name + ".txt", slices.Clone(l.Sounds)}
		for j, s := range l.Sounds {
			out[i].Sounds[j].path = "sounds/" + name + " " + s.Mark + "." + s.Ending
			if s.Mark == "" {
				out[i].Sounds[j].path = "sounds/" + name + "." + s.Ending
			}
		}
	}
	return out
}
