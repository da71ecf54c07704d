package measure_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/synth/measure"
)

// The major third C5-E5 beats where the fifth partial of the one meets the
// fourth of the other: 20.77 times a second in equal temperament (2^(4/12)
// against 5/4), not at all in just intonation.
func TestThirdsBeat(t *testing.T) {
	c := 440 * math.Pow(2, 3.0/12)
	for name, e := range map[string]float64{"equal": c * math.Pow(2, 4.0/12), "just": c * 5 / 4, "wide": c * 1.262} {
		x := plus(tone(c, 2, rate, bright...), tone(e, 2, rate, bright...))
		centre, apart := measure.Coincidence(c, e)
		assert.InDelta(t, (5*c+4*e)/2, centre, 0.01, name)
		assert.InDelta(t, math.Abs(5*c-4*e), apart, 1e-9, name)
		beat := measure.Beating(x, rate, centre, 60)
		if name == "just" {
			assert.Less(t, beat.Depth, 0.01, name)
			continue
		}
		assert.InDelta(t, apart, beat.Hz, 0.05, name)
		a, b := bright[4], bright[3]
		assert.InDelta(t, 2*a*b/(a*a+b*b), beat.Depth, 0.02, name)
	}
}

func TestNoCoincidence(t *testing.T) {
	centre, apart := measure.Coincidence(440, 440*math.Pow(2, 0.5/12)) // a quarter tone
	assert.Zero(t, centre)
	assert.Zero(t, apart)
}

func TestBandKeepsItsOwn(t *testing.T) {
	low, high := tone(500, 0.5, rate, 0.4), tone(5000, 0.5, rate, 0.3)
	got := measure.Band(plus(low, high), rate, 3000, 8000)
	for i := rate / 10; i < 4*rate/10; i++ {
		assert.InDelta(t, high[i], got[i], 0.002)
	}
}
