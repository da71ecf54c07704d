package synth

import (
	"fmt"
	"testing"

	"reedlark/synth/measure"
)

func TestExplore(t *testing.T) {
	for _, m := range []float64{43, 48, 52, 55, 59, 60, 64, 67, 71, 72, 73, 76, 79, 84, 88, 91, 96, 101} {
		sc := tune(note(0.3, 0.6, m))
		x := listen(t, sc, dry, -40)[0]
		f := pitch(m)
		env := measure.Envelope(x, 48000, max(2/f, 0.004), 0.0005)
		st := env.Steady(0.5, 0.8)
		up := measure.Band(x, 48000, 3.5*f, 20000)
		lo := measure.Band(x, 48000, 20, 3.5*f)
		eu, el := measure.Envelope(up, 48000, max(2/f, 0.004), 0.0005), measure.Envelope(lo, 48000, max(2/f, 0.004), 0.0005)
		su, sl := eu.Steady(.5, .8), el.Steady(.5, .8)
		lag := eu.Rise(0.2, su/2) - el.Rise(0.2, sl/2)
		fmt.Printf("%3.0f attack %.1f ms (%.1f periods), -10dB at %+.1f ms, tenth %+.1f ms, release %.1f ms  lag %.1f  noise %.1f\n", m, 1000*env.Attack(0.2, st), env.Attack(.2, st)*f,
			1000*(env.Rise(0.2, st*.3162)-0.3), 1000*(env.Rise(0.2, st*.1)-.3), 1000*(env.Fall(.6, st*.1)-env.Fall(.6, st*.9)), 1000*lag, measure.Noise(measure.Cut(x, 48000, .5, .85), 48000, f, 1000, 8000))
	}
}
