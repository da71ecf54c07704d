// Package recorded reads the spectra of recorded notes and says how far
// another spectrum is from one. Only the fit and the tests use it: no recorded
// level reaches the synthesizer.
package recorded

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
)

// Note is one recorded note.
type Note struct {
	Name      string
	Hz        float64
	Recording string    // notes that share it are one recording at two speeds
	Levels    []float64 // dB relative to the fundamental, from the second partial on
}

// Open reads the notes of a file.
func Open(path string) ([]Note, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	notes, err := Read(f)
	return notes, errors.Join(err, f.Close())
}

// Read reads notes, one a line: name, Hz, recording, levels from the second
// partial on. Lines that are empty or begin with # say nothing. The error
// names the line.
func Read(r io.Reader) ([]Note, error) {
	var notes []Note
	lines := bufio.NewScanner(r)
	for at := 1; lines.Scan(); at++ {
		text := strings.TrimSpace(lines.Text())
		if text == "" || text[0] == '#' {
			continue
		}
		n, err := parse(strings.Fields(text))
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", at, err)
		}
		notes = append(notes, n)
	}
	return notes, lines.Err()
}

func parse(fields []string) (Note, error) {
	if len(fields) < 4 {
		return Note{}, fmt.Errorf("want name, Hz, recording and levels, found %d fields", len(fields))
	}
	hz, err := strconv.ParseFloat(fields[1], 64)
	if err != nil {
		return Note{}, err
	}
	n := Note{Name: fields[0], Hz: hz, Recording: fields[2]}
	for _, f := range fields[3:] {
		level, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return Note{}, err
		}
		n.Levels = append(n.Levels, level)
	}
	return n, nil
}

// Distance is how far two spectra of the same partials are apart, dB: the RMS
// of their difference after each one's mean has been taken off, with levels
// more than 60 dB under a spectrum's strongest lifted to that.
func Distance(a, b []float64) float64 {
	if len(a) != len(b) || len(a) == 0 {
		return math.NaN()
	}
	a, b = levelled(a), levelled(b)
	sum := 0.0
	for i := range a {
		sum += (a[i] - b[i]) * (a[i] - b[i])
	}
	return math.Sqrt(sum / float64(len(a)))
}

// levelled is a spectrum with its floor lifted and its mean taken off.
func levelled(levels []float64) []float64 {
	top := math.Inf(-1)
	for _, l := range levels {
		top = math.Max(top, l)
	}
	out, mean := make([]float64, len(levels)), 0.0
	for i, l := range levels {
		out[i] = math.Max(l, top-60)
		mean += out[i] / float64(len(levels))
	}
	for i := range out {
		out[i] -= mean
	}
	return out
}
