// Package beat reckons with beats: where in a tune something is, and how long
// it lasts.
//
// A [Time] is a fraction, 4/3 of a beat and not 1.3333, so that three thirds are
// one beat and nothing drifts over a long page. It is two machine words, passed
// and compared (==) like a number, and its zero value is no beats.
//
//	third := beat.Whole(1).Over(3)
//	third.Times(3) == beat.Whole(1) // true
//
// Results are exact while numerator and denominator fit into 64 bits, as they do
// on any page a person would write. What does not fit is rounded to a [Grain];
// beyond 39 billion beats it is rounded to whole beats, and held at ±(2⁶³−1) of
// them. Nothing panics.
package beat
