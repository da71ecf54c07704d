package quantise

import (
	"errors"
	"math"

	"reedlark/tab/beat"
)

// Taps are the notes of a tune as somebody tapped them. All times are seconds of
// one clock.
type Taps struct {
	Onsets []float64 // strictly rising
	Ends   []float64 // where each note ended, 0 where nobody says; nil for none
	Clicks []float64 // beats that were heard, strictly rising; nil for none
	Tempo  float64   // beats a minute; 0 where it is unknown
	Metre  Metre     // zero where it is unknown
	Swing  float64   // 0.5 to 0.75; 0 where it is unknown
	// Bars is how many bar lines the page has between the note before and this
	// one, and -1 where it does not say; nil where it never does.
	Bars []int
}

// Metre is a time signature. A beat is its lower figure.
type Metre struct{ Beats, Unit int }

// Rhythm is one reading of the taps.
type Rhythm struct {
	Notes  []Note
	Tempo  float64   // beats a minute, the mean
	Metre  Metre     // as given, else the likeliest
	Swing  float64   // where the half of a beat fell; 0.5 is straight
	Pickup beat.Time // beats before the first whole bar
	Cost   float64   // in nats; less is likelier
	// Confidence is the probability that every length is right, 0 to 1, the
	// level of the beat taken for granted.
	Confidence float64
	// RunnerUp is the next likeliest level of the beat. It is nil where the
	// level is known, from a tempo or from clicks.
	RunnerUp *Rhythm
}

// Note is the rhythm of one note.
type Note struct {
	Start      beat.Time // from the first note on
	Beats      beat.Time // how long it sounds
	Rest       beat.Time // the silence after it
	Confidence float64   // that Beats and Rest together are right, 0 to 1
}

// ErrTooFew says that there is no rhythm in less than one note.
var ErrTooFew = errors.New("a rhythm needs at least one note")

// ErrOrder says that times do not rise or are no numbers.
var ErrOrder = errors.New("the onsets have to rise")

// Quantise finds the likeliest rhythm. The error is ErrTooFew or ErrOrder.
func Quantise(t Taps) (Rhythm, error) {
	if len(t.Onsets) == 0 {
		return Rhythm{}, ErrTooFew
	}
	if !rising(t.Onsets) || !rising(t.Clicks) {
		return Rhythm{}, ErrOrder
	}
	best, second := t.search()
	out := t.rhythm(best)
	if second != nil {
		other := t.rhythm(second)
		out.RunnerUp = &other
	}
	return out, nil
}

func rising(times []float64) bool {
	before := math.Inf(-1)
	for _, x := range times {
		if !(x > before) || math.IsInf(x, 0) {
			return false
		}
		before = x
	}
	return true
}
