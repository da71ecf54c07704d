// Command fit finds the numbers of the reed's spectrum again, from recorded
// notes, and says how far the result can be trusted.
//
//	go run ./synth/reed/spectrum/fit
//
// It prints the model of least mean distance, the distance to each note, what
// happens when a note or a whole recording is left out of the fit and foretold,
// the distance to notes that were never used, and the same with fewer numbers.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"

	"reedlark/synth/reed/spectrum"
	"reedlark/synth/reed/spectrum/recorded"
)

func main() {
	dir := flag.String("dir", "synth/reed/spectrum/testdata", "directory of recorded.txt and unseen.txt")
	flag.Parse()
	if err := run(os.Stdout, *dir); err != nil {
		fmt.Fprintln(os.Stderr, "fit:", err)
		os.Exit(1)
	}
}

func run(w io.Writer, dir string) error {
	seen, err := recorded.Open(dir + "/recorded.txt")
	if err != nil {
		return err
	}
	unseen, err := recorded.Open(dir + "/unseen.txt")
	if err != nil {
		return err
	}
	for _, shape := range shapes() {
		if err := report(w, shape, seen, unseen); err != nil {
			return fmt.Errorf("%s: %w", shape.name, err)
		}
	}
	_, _ = fmt.Fprintf(w, "the synthesizer's: %s\n", describe(spectrum.Fitted()))
	line(w, "  distance", seen, distances(spectrum.Fitted(), seen))
	_, _ = fmt.Fprintln(w, "for comparison, nothing but 6 dB an octave")
	line(w, "  distance", seen, slope(seen))
	line(w, "  never used", unseen, slope(unseen))
	return nil
}

// report prints what a shape of the model comes to.
func report(w io.Writer, s shape, seen, unseen []recorded.Note) error {
	m, err := s.fit(seen)
	if err != nil {
		return err
	}
	_, _ = fmt.Fprintf(w, "%s: %s\n", s.name, describe(m))
	line(w, "  distance", seen, distances(m, seen))
	for _, by := range []struct {
		label string
		same  func(a, b recorded.Note) bool
	}{
		{"  left out, by note", func(a, b recorded.Note) bool { return a.Name == b.Name }},
		{"  left out, by recording", func(a, b recorded.Note) bool { return a.Recording == b.Recording }},
	} {
		d, err := s.leaveOut(seen, by.same)
		if err != nil {
			return err
		}
		line(w, by.label, seen, d)
	}
	line(w, "  never used", unseen, distances(m, unseen))
	return nil
}

func describe(m spectrum.Model) string {
	return fmt.Sprintf("even %.2f dB, roll-off %.0f Hz, cavity %.2f dB", m.Even, m.RollOff, m.Cavity)
}

func line(w io.Writer, label string, notes []recorded.Note, d []float64) {
	_, _ = fmt.Fprintf(w, "%-26s", label)
	for i, n := range notes {
		_, _ = fmt.Fprintf(w, " %s %5.2f", n.Name, d[i])
	}
	_, _ = fmt.Fprintf(w, "  mean %.2f\n", mean(d))
}
