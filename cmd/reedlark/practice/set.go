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
	Bytes   int64 // of the file, at most
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

// Write writes the set as a zip file, and calls done after each sound. When ctx
// ends, the sound being made is still finished and the set is closed with what
// there is: whole is false, and the page that plays the sounds says so. It fails
// when a sound or w does; what it wrote is not a whole zip file then.
func (s Set) Write(ctx context.Context, w io.Writer, done func()) (whole bool, err error) {
	lessons := named(s.Lessons)
	z := &packer{zip.NewWriter(w), fileName(s.Title) + "/"}
	for _, l := range lessons {
		if err := z.add(l.path, zip.Deflate, exactly([]byte(l.Text))); err != nil {
			return false, err
		}
	}
	made := 0
	for i, l := range lessons {
		n, err := z.sounds(ctx, l.Sounds, done)
		if err != nil {
			return false, err
		}
		lessons[i].Sounds = l.Sounds[:n]
		made += n
	}
	index, err := page(s.Title, lessons, s.count()-made)
	if err == nil {
		err = z.add("index.html", zip.Deflate, exactly(index))
	}
	if err == nil {
		err = z.Close()
	}
	return made == s.count(), err
}

// count is the number of sounds.
func (s Set) count() (n int) {
	for _, l := range s.Lessons {
		n += len(l.Sounds)
	}
	return n
}

// Size is how many files the set has, and how many bytes its sounds and pages
// take, before anything is made.
func (s Set) Size() (files int, bytes int64) {
	files = 1 // the page that plays the sounds
	for _, l := range s.Lessons {
		files += 1 + len(l.Sounds)
		bytes += int64(len(l.Text))
		for _, sound := range l.Sounds {
			bytes += sound.Bytes
		}
	}
	return files, bytes
}

// packer adds files to a zip, all in one folder.
type packer struct {
	*zip.Writer
	folder string
}

// sounds adds sounds until ctx ends, and says how many. A sound that has begun is
// finished: half a file cannot be taken out of a zip again.
func (z *packer) sounds(ctx context.Context, list []Sound, done func()) (n int, err error) {
	for ctx.Err() == nil && n < len(list) {
		sound := list[n]
		// Sounds are stored: they hardly get smaller.
		err = z.add(sound.path, zip.Store, func(w io.Writer) error { return sound.Write(context.WithoutCancel(ctx), w) })
		if err != nil {
			break
		}
		n++
		done()
	}
	return n, err
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
