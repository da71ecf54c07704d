// Package spectrum says how loud each partial of one harmonica reed is.
package spectrum

// Colour is what changes the sound of a reed besides its pitch.
type Colour struct {
	Draw      bool    // the air flows in: a shade brighter than blowing
	Accent    float64 // dB harder than usual; it brightens
	BentCents float64 // how far the pitch lies below its own reed, cents, 0 or more
	Over      bool    // an overblow or overdraw: thinner and purer
}

// Levels gives the levels of partials 1 to n of a reed sounding at hz, in dB
// relative to the fundamental, which is 0.
func Levels(hz float64, n int, c Colour) []float64 {
	levels := make([]float64, n)
	for i := range levels {
		k := float64(i + 1)
		f := float64(k*hz) / 7000
		levels[i] = -float64(k-1) - float64(12*f)
	}
	return levels
}
