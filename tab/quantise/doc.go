// Package quantise turns times into beats: the seconds at which somebody tapped
// the notes of a tune become the exact lengths a page can write.
//
// Rounding each gap to the nearest length fails, because hands are late, early,
// and never keep one tempo. Two things are hidden and have to be found together:
// where each note lies in its bar, and how fast the beat goes at that moment.
//
//	r, err := quantise.Quantise(quantise.Taps{Onsets: []float64{0, 0.51, 0.98, 1.26, 1.49}, Tempo: 120})
//	// r.Notes[2].Beats is 1/2
//
// The place in the bar is one of the places that are counted aloud (halves,
// thirds and quarters of a beat). How likely a note is at a place follows from
// its strength in the metre and from what the rest of its beat holds
// (pattern.go; ref: Temperley, Music and Probability, 2007, chapter 3). The
// tempo is a curve that wanders slowly and is followed by a Kalman filter of
// its own in every reading (clock.go; ref: Cemgil and Kappen, Monte Carlo methods for
// tempo tracking and rhythm quantization, 2003). The likeliest path through both
// is found note by note, and the best few readings of each place are kept
// (path.go; ref: Raphael, A hybrid graphical model for rhythmic parsing, 2002).
//
// The probabilities of patterns are not those of a corpus: they are by ear, and
// are fitted to the tune at hand in a second pass. The work is linear in the notes.
package quantise
