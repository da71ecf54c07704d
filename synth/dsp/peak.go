package dsp

import "math"

// TruePeak bounds the highest value, between the points too, of a periodic
// wave given by points of one turn that holds no partial above top; it needs
// more than two points a turn of that partial.
// ref: the largest point over cos(π·top/points), Ehlich & Zeller, "Schwankung
// von Polynomen zwischen Gitterpunkten", Mathematische Zeitschrift 86, 1964.
func TruePeak(points []float32, top int) float64 {
	high := 0.0
	for _, p := range points {
		high = max(high, math.Abs(float64(p)))
	}
	return high / Cos(float64(top)/float64(2*len(points)))
}
