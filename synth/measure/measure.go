// Package measure hears a sound from its samples alone.
//
// It knows nothing of how the sound was made and shares no code with what made
// it, so that its word about pitch, time, colour and loudness is worth
// something. Tests and review sheets use it; nothing that renders does.
//
// Sounds are samples from -1 to 1 at a whole number of frames a second; times
// are seconds from the first sample, pitches hertz, levels decibels (0 dB is an
// RMS or an amplitude of 1, as each function says). A question about a stretch
// is asked of a slice: [Cut] takes the stretch out.
//
//   - pitch: [Pitch] of a steady stretch to 0.03 cent, [Track] along a moving one
//   - colour: [Spectrum], [Partials], [Foreign], [Noise], [Distance]
//   - time: [Envelope] and its Onset, Attack, Release and Dip
//   - two reeds: [Beating]
//   - loudness: [Integrated], [Momentary] and [TruePeak] as broadcasters measure them
package measure

import "math"

// Cut is the stretch of x from one time to another, seconds; what lies outside
// the sound is left out. The samples are shared, not copied.
func Cut(x []float64, rate int, from, to float64) []float64 {
	a := min(max(int(math.Round(from*float64(rate))), 0), len(x))
	b := min(max(int(math.Round(to*float64(rate))), a), len(x))
	return x[a:b]
}

// Cents is the interval from ref up to f, in hundredths of an equal semitone.
func Cents(f, ref float64) float64 { return 1200 * math.Log2(f/ref) }

// DB is an amplitude ratio in decibels; -Inf for nothing.
func DB(ratio float64) float64 { return 20 * math.Log10(ratio) }

// RMS is the root of the mean square; 0 for no samples.
func RMS(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	return math.Sqrt(energy(x) / float64(len(x)))
}

// DC is the mean of the samples.
func DC(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func energy(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum
}
