package main

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/optimize"

	"reedlark/synth/reed/spectrum"
	"reedlark/synth/reed/spectrum/recorded"
)

// fit gives the model of least mean distance to the notes: the downhill
// simplex, begun anew where it stopped until that helps no more. It has no
// randomness.
// ref: Nelder & Mead, "A simplex method for function minimization", The
// Computer Journal 7(4), 1965.
func (s shape) fit(notes []recorded.Note) (spectrum.Model, error) {
	cost := func(x []float64) float64 {
		for _, v := range x {
			if v < 0 {
				return math.Inf(1)
			}
		}
		return mean(distances(s.model(x), notes))
	}
	x, best := slices.Repeat([]float64{1}, s.free), math.Inf(1)
	for {
		r, err := optimize.Minimize(optimize.Problem{Func: cost}, x, nil, &optimize.NelderMead{SimplexSize: 0.3})
		if err != nil {
			return spectrum.Model{}, err
		}
		if r.F > best-1e-9 {
			return s.model(x), nil
		}
		x, best = r.X, r.F
	}
}

// leaveOut foretells each note by a fit to those that are not the same.
func (s shape) leaveOut(notes []recorded.Note, same func(a, b recorded.Note) bool) ([]float64, error) {
	out := make([]float64, len(notes))
	for i, n := range notes {
		var rest []recorded.Note
		for _, other := range notes {
			if !same(n, other) {
				rest = append(rest, other)
			}
		}
		m, err := s.fit(rest)
		if err != nil {
			return nil, err
		}
		out[i] = distance(m, n)
	}
	return out, nil
}

func distances(m spectrum.Model, notes []recorded.Note) []float64 {
	out := make([]float64, len(notes))
	for i, n := range notes {
		out[i] = distance(m, n)
	}
	return out
}

// distance is how far the model's note is from the recorded one, dB.
func distance(m spectrum.Model, n recorded.Note) float64 {
	levels := m.Levels(n.Hz, len(n.Levels)+1, spectrum.Colour{})
	return recorded.Distance(levels[1:], n.Levels)
}

// slope is the distance of each note to partials that only fall with their
// number.
func slope(notes []recorded.Note) []float64 {
	out := make([]float64, len(notes))
	for i, n := range notes {
		levels := make([]float64, len(n.Levels))
		for j := range levels {
			levels[j] = -20 * math.Log10(float64(j+2))
		}
		out[i] = recorded.Distance(levels, n.Levels)
	}
	return out
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
