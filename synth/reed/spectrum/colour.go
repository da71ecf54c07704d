package spectrum

import "math"

// Colour is what changes the sound of a reed besides its pitch.
type Colour struct {
	Draw      bool    // the air flows in: a shade brighter than blowing
	Accent    float64 // dB harder than usual, -20 to 20; harder is brighter
	BentCents float64 // how far the pitch lies below its own reed, cents; 0 where it does not
	Over      bool    // an overblow or overdraw: thinner and purer
}

// AccentShare is how many dB the upper partials gain per dB of breath, on
// top of the dB that all gain. by ear: the middle of the 4 to 8 dB per
// 10 dB that players' recordings show.
const AccentShare = 0.6

const (
	// drawShade is how much brighter a drawn note is, dB. by ear: the trade
	// says "a shade".
	drawShade = 1.0
	// bentMost is what the deepest bend takes from the upper partials, dB, and
	// bentHalf the depth in cents that takes half of it. by ear: 3 dB at a
	// semitone, 5 at three, after the trade's 3 to 6.
	bentMost, bentHalf = 6.5, 100.0
	// overLoss is what an over lacks in the upper partials, dB. by ear.
	overLoss = 5.0
)

// brightness is how much the highest partials gain by the colour, dB.
func (c Colour) brightness() float64 {
	bent := math.Max(c.BentCents, 0)
	b := float64(AccentShare*c.Accent) - bentMost*bent/(bent+bentHalf)
	if c.Draw {
		b += drawShade
	}
	if c.Over {
		b -= overLoss
	}
	return b
}

// upper is partial k's share of a change of brightness: none for the
// fundamental, nearly all from the fourth on.
func upper(k int) float64 { return 1 - 1/float64(k*k) }
