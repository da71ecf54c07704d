// Package recording reads the WAV files that people bring, as samples from -1
// to 1, however they were stored.
//
// A file is a list of chunks; two of them matter, the format and the data. They
// are found and compared with the size of the file first, because a file that is
// cut short, or that a program wrote into a pipe, names more sound than it has
// and would otherwise seem to be a short one. Then the data is decoded: whole
// numbers of 8, 16, 24 and 32 bits, and floating point of 32 and 64.
//
// Nothing is held but one block, so a file may be as long as it likes.
//
// ref: IBM and Microsoft, Multimedia Programming Interface and Data
// Specifications 1.0, 1991; Microsoft, Multiple Channel Audio Data and WAVE
// Files, 2007 (WAVE_FORMAT_EXTENSIBLE).
package recording

import (
	"errors"
	"fmt"
	"io"
)

// Refusal says why a file is not read: what it is, and what to do.
type Refusal struct{ Reason string }

func (r *Refusal) Error() string { return r.Reason }

func refuse(format string, args ...any) error { return &Refusal{fmt.Sprintf(format, args...)} }

// Recording is a WAV file that can be read.
type Recording struct {
	Rate     int   // frames a second, 1,000 to 768,000
	Channels int   // 1 or 2
	Depth    int   // bits a sample: 8, 16, 24, 32 or 64
	Float    bool  // floating point; 32 or 64 bits
	Frames   int64 // at least 1

	file io.ReaderAt
	data int64 // the offset of the first sample
}

// The rates that are taken for those of a recording.
const (
	minRate = 1_000
	maxRate = 768_000
)

// Open looks through a file of so many bytes. The error is a *Refusal where
// the file is broken or foreign.
func Open(file io.ReaderAt, size int64) (*Recording, error) {
	if err := known(file, size); err != nil {
		return nil, err
	}
	format, data, err := chunks(file, size)
	if err != nil {
		return nil, err
	}
	r := &Recording{file: file, data: data.at}
	if err := r.understand(format); err != nil {
		return nil, err
	}
	frame := int64(r.Channels * r.Depth / 8)
	switch {
	case data.size == 0:
		return nil, refuse("there is no sound in it: it has a header and nothing else")
	case data.size%frame != 0:
		return nil, refuse("it is damaged: %d bytes of sound are no whole number of frames of %d bytes", data.size, frame)
	}
	r.Frames = data.size / frame
	return r, nil
}

// chunk is where a chunk's body lies, and how long it says it is, bytes.
type chunk struct{ at, size int64 }

// chunks finds the format and the data.
func chunks(file io.ReaderAt, size int64) (format, data chunk, err error) {
	const head = 8
	for at := int64(12); at+head <= size; {
		id, n, err := header(file, at)
		if err != nil {
			return format, data, err
		}
		c := chunk{at + head, n}
		if id == "fmt " {
			format = c
		}
		if id == "data" {
			return format, c, complete(format, c, size)
		}
		at = c.at + n + n%2 // ref: chunks begin at even offsets
	}
	return format, data, refuse("it is cut short: there is no chunk of sound in it")
}

// complete holds two chunks against the size of the file.
func complete(format, data chunk, size int64) error {
	if format.at == 0 {
		return refuse("it is damaged: nothing says in which format its samples are")
	}
	if there := size - data.at; data.size > there {
		return refuse("it is cut short, or was written into a pipe: it names %d bytes of sound and has %d; write or convert it anew", data.size, there)
	}
	return nil
}

// read reads n bytes; that a file ends early is a refusal, anything else is not.
func read(file io.ReaderAt, at int64, n int) ([]byte, error) {
	b := make([]byte, n)
	got, err := file.ReadAt(b, at)
	switch {
	case got == n:
		return b, nil
	case errors.Is(err, io.EOF):
		return nil, refuse("it is cut short")
	}
	return nil, err
}
