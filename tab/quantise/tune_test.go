package quantise_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/tab/beat"
	"reedlark/tab/quantise"
)

// tune is a rhythm of our own.
type tune struct {
	name   string
	metre  quantise.Metre
	tempo  float64
	swing  float64
	pickup beat.Time
	beats  []beat.Time
}

// tunes reads testdata/tunes.txt: a line of name, metre, tempo, swing and pick-up,
// then lengths in beats.
func tunes(t testing.TB) (out []tune) {
	text, err := os.ReadFile("testdata/tunes.txt")
	require.NoError(t, err)
	for block := range strings.SplitSeq(strings.TrimSpace(string(text)), "\n\n") {
		head, body, _ := strings.Cut(block, "\n")
		var one tune
		var pickup string
		_, err := fmt.Sscanf(head, "%s %d/%d %f %f %s", &one.name, &one.metre.Beats, &one.metre.Unit, &one.tempo, &one.swing, &pickup)
		require.NoError(t, err, head)
		one.pickup = fraction(t, pickup)
		for word := range strings.FieldsSeq(strings.ReplaceAll(body, "|", " ")) {
			one.beats = append(one.beats, fraction(t, word))
		}
		out = append(out, one)
	}
	return out
}

func fraction(t testing.TB, s string) beat.Time {
	n, d := 0, 1
	if _, err := fmt.Sscanf(s, "%d/%d", &n, &d); err != nil {
		_, err := fmt.Sscanf(s, "%d", &n)
		require.NoError(t, err, s)
	}
	return beat.Whole(n).Over(d)
}

// hand is how a simulated hand errs.
type hand struct {
	noise float64 // seconds, standard deviation
	drift float64 // of the tempo, a share: root mean square of a slow wave
	lag   float64 // seconds
}

var people = hand{noise: .020, drift: .03, lag: .045}

// taps plays a tune after two bars of clicks.
func (h hand) taps(one tune, seed uint64) (onsets, clicks []float64) {
	random := rand.New(rand.NewPCG(seed, uint64(len(one.beats))))
	period, bar := 60/one.tempo, one.metre.Beats
	phase, speed := 2*math.Pi*random.Float64(), 2*math.Pi/(16+16*random.Float64())
	for i := range 2 * bar {
		clicks = append(clicks, float64(i)*period)
	}
	at := beat.Whole(2 * bar)
	if one.pickup.Sign() > 0 {
		at = at.Minus(one.pickup)
	}
	for _, length := range one.beats {
		x := at.Float()
		if at.Mod(beat.Whole(1)) == half {
			x += one.swing - .5
		}
		wave := h.drift * math.Sqrt2 / speed * (math.Sin(speed*x+phase) - math.Sin(phase))
		onsets = append(onsets, period*(x+wave)+h.lag+h.noise*random.NormFloat64())
		at = at.Plus(length)
	}
	for i := 1; i < len(onsets); i++ {
		onsets[i] = max(onsets[i], onsets[i-1]+.02)
	}
	return onsets, clicks
}

var half = beat.Whole(1).Over(2)

// right counts the lengths that are right but for a factor, the last note apart.
func (one tune) right(r quantise.Rhythm, factor beat.Time) (n int) {
	for i, want := range one.beats[:len(one.beats)-1] {
		got := r.Notes[i+1].Start.Minus(r.Notes[i].Start)
		if got.Times(int(factor.Denom())) == want.Times(int(factor.Num())) {
			n++
		}
	}
	return n
}

// tally counts what came out right.
type tally struct{ right, lengths, whole, pages int }

func (c *tally) add(right, of int) {
	c.right, c.lengths, c.pages = c.right+right, c.lengths+of, c.pages+1
	if right == of {
		c.whole++
	}
}

func (c tally) shares() (lengths, pages float64) {
	return float64(c.right) / float64(c.lengths), float64(c.whole) / float64(c.pages)
}
