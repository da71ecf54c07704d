package main

import "reedlark/synth/reed/spectrum"

// shape is a way to make a model of few free numbers.
type shape struct {
	name  string
	free  int // numbers that are fitted, each about 1
	model func(x []float64) spectrum.Model
}

// never is a frequency no partial reaches, Hz.
const never = 1e9

// shapes are the model in use, and what is left when a number is taken away.
// The free numbers count in steps that matter about equally.
func shapes() []shape {
	return []shape{
		{"three numbers", 3, func(x []float64) spectrum.Model {
			return spectrum.Model{Even: 10 * x[0], RollOff: 7000 * x[1], Cavity: 5 * x[2]}
		}},
		{"no cavity", 2, func(x []float64) spectrum.Model {
			return spectrum.Model{Even: 10 * x[0], RollOff: 7000 * x[1]}
		}},
		{"no weakness", 2, func(x []float64) spectrum.Model {
			return spectrum.Model{RollOff: 7000 * x[0], Cavity: 5 * x[1]}
		}},
		{"no roll-off", 2, func(x []float64) spectrum.Model {
			return spectrum.Model{Even: 10 * x[0], RollOff: never, Cavity: 5 * x[1]}
		}},
	}
}
