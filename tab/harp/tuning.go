package harp

import (
	"fmt"
	"math"
	"slices"
)

// Tuning says how far the reeds lie from equal temperament.
type Tuning string

// The tunings. In equal every chord is a little rough and every key alike; in
// just the chords of the harp's own key stand still; compromise lies between.
const (
	Equal      Tuning = "equal"
	Just       Tuning = "just"
	Compromise Tuning = "compromise"
)

// Tunings lists the names of the tunings.
func Tunings() []string { return []string{string(Equal), string(Just), string(Compromise)} }

// ParseTuning reads the name of a tuning. The error says which there are.
func ParseTuning(s string) (Tuning, error) {
	if !slices.Contains(Tunings(), s) {
		return "", fmt.Errorf("there is no tuning %q: it is one of %s", s, list(Tunings()))
	}
	return Tuning(s), nil
}

// justRatios are the pitches of just intonation above the key note, by
// semitones. ref: the 7-limit ratios harmonica tuners publish (1/1, 9/8, 5/4,
// 21/16, 3/2, 27/16, 15/8); the other five, which the standard layout does not
// have, are the usual ratios of 5-limit just intonation.
var justRatios = [12]float64{
	1, 16. / 15, 9. / 8, 6. / 5, 5. / 4, 21. / 16, 45. / 32, 3. / 2, 8. / 5, 27. / 16, 9. / 5, 15. / 8,
}

// justBlownSixth is the sixth where a blow reed is altered to it: it must be in
// tune with the blown chord and not with the drawn one.
const justBlownSixth = 5. / 3

// compromiseMoves are the ratios by which compromise tuning moves each note of
// the key: by 2, -12, -12, 1, 3 and -11 cents, and not at all where the
// standard layout has no such note. ref: from memory.
var compromiseMoves = [12]float64{
	1, 1, 1.0011559128538237, 1, 0.9930924954370359, 0.9930924954370359, 1, 1.0005777895065548, 1, 1.001734370234696, 1, 0.9936662938599378,
}

// sixth is the pitch class of the sixth above the key note.
const sixth = 9

// ratio is the pitch of a reed over that of the key note, for a reed that many
// semitones above it.
func (t Tuning) ratio(fromTonic int, breath Breath) float64 {
	class, octave := splitOctave(fromTonic)
	blownSixth := class == sixth && breath == Blow
	switch {
	case t == Just && blownSixth:
		return math.Ldexp(justBlownSixth, octave)
	case t == Just:
		return math.Ldexp(justRatios[class], octave)
	case t == Compromise && !blownSixth:
		return semitones(fromTonic) * compromiseMoves[class]
	default:
		return semitones(fromTonic)
	}
}
