package reed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/synth/dsp"
)

// lastBit is one step of a 16-bit file in a voice's own measure, at a loudness
// of -16 LUFS, where a voice of level 1 is multiplied by about 0.17.
const lastBit = 1 / (32768 * 0.17)

// TestOracle: a voice is the sum of the standard library's sines under the same
// controls, within one step of a 16-bit file; two for the lowest reed of all,
// whose 122 partials go up to where straight lines are coarse.
func TestOracle(t *testing.T) {
	for name, p := range parts() {
		v, ok := p.(*Tone)
		if !ok || v.Life != nil || name == "long" {
			continue
		}
		got := make([]float32, v.End-v.First)
		v.Play(got, 0, v.First, newShelf())
		worst := 0.0
		for i := 0; i < len(got); i += 3 {
			worst = max(worst, math.Abs(float64(got[i])-oracle(v, v.First+int64(i))))
		}
		steps := map[bool]float64{false: 1, true: 2}[name == "low"]
		assert.Lessf(t, worst, steps*lastBit, "%s", name)
	}
}

// oracle is one sample of a voice, reckoned the slow way.
func oracle(v *Tone, frame int64) float64 {
	b, next := v.breakpoint(frame)
	from := max(frame&^(Segment-1), v.First)
	if b != &v.Breakpoints[0] {
		from = max(from, b.At)
	}
	to := cut(from, next)
	c, d := v.at(b, from), v.at(b, to)
	x := float64(frame-from) / float64(to-from)
	turns := float64(v.Advance(0, v.First, frame)) / dsp.Turn
	sum := 0.0
	for i, n := range []int32{b.A, b.A, b.B, b.B} {
		gain := float64(c.gains[i]) + x*float64(d.gains[i]-c.gains[i])
		sum += gain * slowWave(n, i%2 == 1, turns)
	}
	return sum
}

func slowWave(number int32, dark bool, turns float64) float64 {
	sum := 0.0
	for i, l := range []Timbre{low, mid, high}[number].Lines() {
		a := l.Amplitude
		if dark && i >= fullTo {
			a *= shade
		}
		sum += a * math.Sin(2*math.Pi*(float64(i+1)*turns+float64(PhaseOf(i+1))/Points))
	}
	return sum
}
