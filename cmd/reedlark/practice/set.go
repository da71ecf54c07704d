package practice

import (
	"archive/zip"
	"bytes"
	"context"
	"io"
	"net/url"
	"time"
)

// Set is what a lesson needs.
type Set struct {
	Title   string
	Lessons []Lesson
}

// Lesson is one page of tab and the sounds made of it.
type Lesson struct {
	Title  string
	Text   string // the page as it is
	Sounds []Sound
}

// Sound is one version of a page.
type Sound struct {
	Harp    string // as people say it: "Bb"
	Tempo   string // "70 %", "90 beats a minute"
	Parts   string // who plays: "harp alone"
	Mark    string // what the name of the file says of all this: "Bb-70percent"
	Ending  string // of the file's name, without a dot
	Seconds float64
	Write   func(context.Context, io.Writer) error

	path string // in the set
}

// Href is the address of the sound as seen from the page that plays it.
func (s Sound) Href() string { return href(s.path) }

// href is a path as part of an address, in which a blank or a # is no such thing.
func href(path string) string { return (&url.URL{Path: path}).EscapedPath() }

// made is the time of every file in a set: the first that the format knows, since
// the same set is to be the same bytes.
var made = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// Write writes the set as a zip file. It fails when ctx ends, when a sound or w
// does; what it wrote is no whole zip file then. done is called after each sound.
func (s Set) Write(ctx context.Context, w io.Writer, done func()) error {
	lessons := named(s.Lessons)
	index, err := page(s.Title, lessons)
	if err != nil {
		return err
	}
	z := &packer{zip.NewWriter(w), fileName(s.Title) + "/"}
	if err := z.add("index.html", zip.Deflate, exactly(index)); err != nil {
		return err
	}
	for _, l := range lessons {
		if err := z.add(l.path, zip.Deflate, exactly([]byte(l.Text))); err != nil {
			return err
		}
	}
	for _, l := range lessons {
		for _, sound := range l.Sounds {
			// Sounds are stored: they hardly get smaller.
			if err := z.add(sound.path, zip.Store, func(w io.Writer) error { return sound.Write(ctx, w) }); err != nil {
				return err
			}
			done()
		}
	}
	return z.Close()
}

// packer adds files to a zip, all in one folder.
type packer struct {
	*zip.Writer
	folder string
}

func (z *packer) add(path string, method uint16, write func(io.Writer) error) error {
	w, err := z.CreateHeader(&zip.FileHeader{Name: z.folder + path, Method: method, Modified: made})
	if err != nil {
		return err
	}
	return write(w)
}

func exactly(text []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.Copy(w, bytes.NewReader(text))
		return err
	}
}
