package quantise

import (
	"math"

	"reedlark/tab/beat"
)

// clock is what one reading believes of the beat: when the last note should have
// come, how long a beat is now, and how sure it is of both. It is a Kalman
// filter. ref: Cemgil and Kappen 2003, section 2.
type clock struct {
	at, period     float64 // seconds
	vAt, vBoth, vP float64 // variances and covariance
}

// hands is how people tap.
type hands struct {
	noise  float64 // seconds: standard deviation of one tap
	wander float64 // share of the period by which it changes in a beat, standard deviation
}

// usualHands are those of people who tap along: 20 ms, and a tempo that wanders by
// a few percent in a phrase. ref: Repp, Sensorimotor synchronization: a review of
// the tapping literature, 2005, for the noise; by ear for the tempo.
var usualHands = hands{noise: .022, wander: .009}

// startClock believes in a period, but for a share of it.
func (h hands) startClock(at, period, unsure float64) clock {
	return clock{at: at, period: period, vAt: h.noise * h.noise, vP: period * unsure * period * unsure}
}

// step goes on by some beats to a tap, and says what the tap costs in nats.
func (h hands) step(c clock, beats, tap float64) (clock, float64) {
	drift := h.wander * c.period
	q := float64(drift*drift) * beats // float64 keeps products and sums apart, so that no machine fuses them
	vBoth := c.vBoth + float64(beats*c.vP)
	vAt := c.vAt + float64(beats*(c.vBoth+vBoth)) + float64(q*beats*beats)/3
	vBoth += float64(q*beats) / 2
	vP := c.vP + q
	due := c.at + float64(beats*c.period)
	off := tap - due
	s := vAt + float64(h.noise*h.noise)
	kAt, kP := vAt/s, vBoth/s
	next := clock{
		at: due + float64(kAt*off), period: max(c.period+float64(kP*off), fastest),
		vAt: vAt * (1 - kAt), vBoth: vBoth * (1 - kAt), vP: vP - float64(kP*vBoth),
	}
	return next, (float64(off*off)/s + math.Log(2*math.Pi*s)) / 2
}

// fastest is the shortest beat a clock may come to, in seconds.
const fastest = 60. / (2 * beat.MaxTempo)
